"""The invented kitchen's whole Book, ready for the catalog's own import."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from catalog.rates.overhead import derived
from config.demo import buying, loads, making, products, profile, recipes
from config.demo.days import days_that_differ, service, today_of
from config.demo.making import its

PRICED_FROM = ("2024-01-01", "2026-04-01", "2026-09-15")


def catalog(which: str, now: datetime | None = None) -> dict[str, Any]:
    """Return the Book of the ``us`` or ``eu`` profile, with the optional keys of a whole kitchen.

    Days that differ, and the service of an oven, are in it where it is known when it is prepared.
    """
    at = profile.EU if which == "eu" else profile.US
    today = None if now is None else today_of(at, now)
    return {
        "format": "coldset-book/1",
        "currency": profile.CURRENCY[at],
        "kitchen": {**{key: pair[at] for key, pair in profile.KITCHEN.items()}, "profile": _profile(at)},
        "overhead": _overhead(at),
        "roles": {
            code: {"hourly": pay[at], "on_cost": on_cost, "name": name} for code, name, pay, on_cost in profile.ROLES
        },
        "stations": {row[0]: _station(row, at, today) for row in profile.STATIONS},
        "taxes": {
            code: [{"rate": rate, "from": day} for rate, day in rates] for code, _name, rates in profile.TAXES[at]
        },
        "tax_categories": {code: {"name": name} for code, name, _rates in profile.TAXES[at]},
        "delivery": {key: its(value, at) for key, value in profile.DELIVERY.items()},
        "hours": [
            {"weekday": day, "opens": opens, "closes": closes, "hands": hands}
            for day, opens, closes, hands in profile.HOURS
        ],
        "hand_over_hours": [
            {"weekday": day, "opens": opens, "closes": closes} for day, opens, closes in profile.HAND_OVER_HOURS
        ],
        **({} if now is None else days_that_differ(at, now)),
        "monthly_costs": [
            {
                "name": its(name, at),
                "amount": amount[at],
                "carrier": carrier,
                **({"station": station} if station else {}),
            }
            for name, amount, carrier, station in profile.MONTHLY_COSTS
        ],
        "vehicles": [{"name": name, "cold": cold} for name, cold in profile.VEHICLES],
        "moulds": [_owned(row, "shape", at) for row in profile.MOLDS],
        "vessels": [_owned(row, "kind", at) for row in profile.VESSELS],
        "ingredients": [
            *(_ingredient(buy, at) for buy in buying.INGREDIENTS),
            *(_counted(buy, at) for buy in buying.PACKAGING),
        ],
        "recipes": [_recipe(make, at) for make in recipes.RECIPES],
        "products": [_product(sell, at) for sell in products.PRODUCTS],
        "price_rules": [_rule(rule, at) for rule in profile.RULES],
    }


def _profile(at: int) -> dict[str, Any]:
    return {key: pair[at] for key, pair in profile.PROFILE.items() if pair[at] != ""}


def _monthly(carrier: str, station: str, at: int) -> Decimal:
    return sum(
        (
            Decimal(amount[at])
            for _name, amount, kind, where in profile.MONTHLY_COSTS
            if (kind, where) == (carrier, station)
        ),
        Decimal(0),
    )


def _overhead(at: int) -> dict[str, Any]:
    """Return the overhead rates as the service derives them from the monthly figures."""
    hours, orders = Decimal(profile.MONTHLY_LABOR_HOURS), Decimal(profile.MONTHLY_ORDERS)
    return {
        "per_labour_hour": str(derived(_monthly("labour", "", at), hours)),
        "per_order": str(derived(_monthly("order", "", at), orders)),
        "monthly_labour_hours": profile.MONTHLY_LABOR_HOURS,
        "monthly_orders": profile.MONTHLY_ORDERS,
        "derived": ["per_labour_hour", "per_order"],
    }


def _station(row: tuple[Any, ...], at: int, today: date | None) -> dict[str, Any]:
    code, name, kind, hours, count, places, air_c, air = row
    rate = derived(_monthly("station", code, at), Decimal(hours))
    station = {
        "kind": kind,
        "hourly": str(rate or 0),
        "name": name,
        "monthly_hours": hours,
        "places": places,
        "derived": True,
        "air": air,
        "count": count,
    }
    if code in profile.TOLERANCE_C:
        station["tolerance_c"] = profile.TOLERANCE_C[code][at]
    if code == profile.SERVICED and today is not None:
        station["out"] = [_service(today)]
    return station if air_c is None else {**station, "air_c": air_c}


def _service(today: date) -> dict[str, Any]:
    """Return two working days in which one is serviced: a Tuesday and the day after."""
    begins, ends = service(today)
    return {"from": f"{begins}T00:00", "until": f"{ends}T00:00", "reason": "service"}


def _owned(row: tuple[Any, ...], sort: str, at: int) -> dict[str, Any]:
    """Return a mold or a vessel; ``sort`` is the key of its shape or kind."""
    name, what, diameter, length, width, height, owned, wall = (its(value, at) for value in row)
    sizes = {"diameter_cm": diameter, "length_cm": length, "width_cm": width, "height_cm": height}
    return {
        "name": name,
        sort: what,
        **{key: size for key, size in sizes.items() if size},
        "owned": owned,
        "wall": wall,
    }


def _packs(buy: buying.Buy, at: int) -> list[dict[str, Any]]:
    """Return the packs of this year, and the higher prices since, so that there is a history."""
    packs = buy.eu if at == profile.EU else buy.us
    return [{"size": size, "price": price, "from": PRICED_FROM[0], "supplier": buy.supplier} for size, price in packs]


def _ingredient(buy: buying.Buy, at: int) -> dict[str, Any]:
    name = its(buy.name, at)
    return {"code": buy.code, "name": name, **buy.facts, **buying.label(buy, name), "packs": _packs(buy, at)}


def _counted(buy: buying.Buy, at: int) -> dict[str, Any]:
    return {
        "code": buy.code,
        "name": buy.name,
        "base": "each",
        **buy.facts,
        **_touch(buy, at),
        "packs": _packs(buy, at),
    }


def _touch(buy: buying.Buy, at: int) -> dict[str, Any]:
    """Return the label's answers of what touches the food; boxes and ribbons do not."""
    return {"touches_food": False} if buy.code.startswith(("box-", "ribbon")) else buying.label(buy, its(buy.name, at))


def _line(line: making.Line, at: int) -> dict[str, Any]:
    amount = line.eu if at == profile.EU else line.us
    if line.what.startswith("@"):
        return {"recipe": line.what[1:], "amount": amount}
    ingredient, _, part = line.what.partition(":")
    return {"ingredient": ingredient, **({"part": part} if part else {}), "amount": amount}


def _recipe(make: making.Make, at: int) -> dict[str, Any]:
    recipe: dict[str, Any] = {
        "code": make.code,
        "name": its(make.name, at),
        "lines": [_line(line, at) for line in make.lines],
        "loss": make.loss,
        "loss_of": make.loss_of,
        **({"note": make.note} if make.note else {}),
        **({"shelf_stable": True} if make.shelf_stable else {}),
        **({"shelf_stable_source": its(make.shelf_stable_source, at)} if make.shelf_stable_source else {}),
        **({"never_hot": True} if make.never_hot else {}),
        **({"never_hot_reason": its(make.never_hot_reason, at)} if make.never_hot_reason else {}),
        "air": make.air,
    }
    if make.kg_per_place:
        recipe["kg_per_place"] = make.kg_per_place[at]
    if make.limit[at]:
        recipe["batch_limit"] = make.limit[at]
    recipe["labour"] = [
        {"role": step["role"], "per_batch": step["hands_fixed"], "per_kg": step["hands_each"]}
        for step in make.steps
        if "role" in step
    ]
    return {**recipe, "steps": _steps(make.steps, at)}


def _steps(steps: tuple[dict[str, Any], ...], at: int) -> list[dict[str, Any]]:
    return [{key: its(value, at) for key, value in step.items()} for step in steps]


def _product(sell: making.Sell, at: int) -> dict[str, Any]:
    more = {key: its(value, at) for key, value in sell.more.items()}
    return {
        "code": sell.code,
        "name": its(sell.name, at),
        "description": sell.description,
        "category": sell.category,
        "servings": sell.servings,
        "sale_multiple": sell.multiple,
        "load": sell.load,
        "fill": [{"recipe": line.what, "amount": line.eu if at == profile.EU else line.us} for line in sell.fills],
        "packaging": [{"ingredient": code, "amount": "1 each"} for code in sell.packaging.split()],
        "labour": [
            {"role": step["role"], "per_load": step["hands_fixed"], "per_unit": step.get("hands_each", "0")}
            for step in sell.steps
            if "role" in step
        ],
        "station_time": [
            {"station": step["station"], "minutes_per_load": step["minutes"]}
            for step in sell.steps
            if "station" in step
        ],
        "steps": _steps(sell.steps, at),
        "tax": "prepared-food",
        # A product that cools gets its holding sentence when it is quoted.
        **({} if any("leaves_c" in step for step in sell.steps) else {"holding": its(products.HOLDING, at)}),
        **({"spare": "0.04"} if sell.category == "portion" else {}),
        **more,
        **loads.LOADS[sell.code],
        **({"keeps_hours": loads.KEEPS_HOURS[sell.code]} if sell.code in loads.KEEPS_HOURS else {}),
    }


def _rule(rule: tuple[str, str, str, dict[str, Any]], at: int) -> dict[str, Any]:
    code, _name, margin, what = rule
    return {
        "code": code,
        "margin": margin,
        **{key: its(value, at) for key, value in what.items()},
    }
