"""The catalog's rows as the Book's JSON: one query a table, never one a row.

``whole`` adds the optional keys that pricing does not need, so that an exported kitchen loses nothing.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any, Final

from catalog.book.steps import (
    PRODUCT_MINUTES,
    PRODUCT_STEP_COLUMNS,
    RECIPE_MINUTES,
    STEP_COLUMNS,
    Entry,
    decimal_text,
    labor_of,
    plain_steps,
    station_time_of,
    step_written,
)
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack, Part
from catalog.price_rules.models import PriceRule
from catalog.products.models import Fill, Packaging, Product, ProductStep
from catalog.rates.models import Role, Station
from catalog.rates.overhead import LABOR, ORDER, Carrier, in_force
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.taxes.models import TaxCategory

#: How a product stands, is covered, carried and judged while it cools; each is left out at its default.
COOLING: Final[Mapping[str, Any]] = {
    "stands_on": Product.StandsOn.OPEN,
    "covered": False,
    "carried": Product.Carried.CARTON,
    "cooling_rule": Product.CoolingRule.BY_STEP,
}


def stated(*pairs: tuple[str, Any, Any]) -> Entry:
    """Write an object: key, value and the value that need not be written (``...``: it always is)."""
    return {key: _written(value) for key, value, default in pairs if default is ... or value != default}


def _written(value: Any) -> Any:
    if isinstance(value, Decimal):
        return decimal_text(value)
    return value.isoformat() if isinstance(value, date) else value


def _grouped(rows: Iterable[tuple[Any, ...]]) -> Mapping[int, list[tuple[Any, ...]]]:
    groups: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for row in rows:
        groups[row[0]].append(row[1:])
    return groups


def kitchen(row: Kitchen) -> Entry:
    """Write how the kitchen measures, rounds and charges."""
    return stated(
        ("cup", row.cup, ...),
        ("waste", row.waste, 0),
        ("price_step", row.price_step, ...),
        ("prices", row.prices, ...),
        ("floor_margin", row.floor_margin, 0),
        ("order_minimum", row.order_minimum, 0),
        ("rush_rate", row.rush_rate, 0),
    )


def overhead(row: Kitchen, sums: Mapping[Carrier, Decimal], *, whole: bool) -> Entry:
    """Write the overhead rates; empty when there are none."""
    sources = {
        "per_labour_hour": (row.per_labor_hour, sums.get(LABOR, Decimal(0)), row.monthly_labor_hours),
        "per_order": (row.per_order, sums.get(ORDER, Decimal(0)), row.monthly_orders),
    }
    written = stated(*((key, in_force(*source), None) for key, source in sources.items()))
    if whole:
        written |= stated(
            ("monthly_labour_hours", row.monthly_labor_hours, None), ("monthly_orders", row.monthly_orders, None)
        )
        # A rate that nobody stated follows from monthly figures, even while there are none.
        unstated = [key for key, source in sources.items() if source[0] is None]
        written |= {"derived": unstated} if written and unstated else {}
    return written


def delivery(row: Kitchen) -> Entry:
    """Write how delivery is charged; empty when the kitchen does not deliver."""
    if row.delivery_role is None:
        return {}
    return stated(
        ("role", row.delivery_role.code, ...),
        ("per_km", row.delivery_per_km, ...),
        ("margin", row.delivery_margin, ...),
        ("tax", row.delivery_tax.code if row.delivery_tax else "goods", ...),
    )


def roles(*, whole: bool) -> Entry:
    """Write the roles by code."""
    return {
        code: stated(("hourly", hourly, ...), ("on_cost", on_cost, 0), ("name", name if whole else "", ""))
        for code, name, hourly, on_cost in Role.objects.values_list("code", "name", "hourly", "on_cost")
    }


def stations(sums: Mapping[Carrier, Decimal], *, whole: bool) -> Entry:
    """Write the stations by code, each with its stated or derived rate."""
    written: Entry = {}
    columns = ("pk", "code", "name", "kind", "hourly", "monthly_hours", "places", "air_c", "air")
    for pk, code, name, kind, hourly, hours, places, air_c, air in Station.objects.values_list(*columns):
        rate = in_force(hourly, sums.get(pk, Decimal(0)), hours) or Decimal(0)
        written[code] = stated(("kind", kind, ...), ("hourly", rate if hourly is None else hourly, ...))
        if whole:
            written[code] |= stated(
                ("name", name, ""),
                ("monthly_hours", hours, None),
                ("places", places, None),
                ("air_c", air_c, None),
                ("air", air, Station.Air.STILL),
                ("derived", hourly is None, False),
            )
    return written


def taxes() -> tuple[Entry, Entry]:
    """Write the tax categories' rates by code, and what else documents say about them."""
    written: Entry = {}
    about: Entry = {}
    rows: Iterable[tuple[Any, ...]] = TaxCategory.objects.order_by(
        "position", "pk", "rates__position", "rates__pk"
    ).values_list("code", "name", "untdid", "exempt_reason", "rates__rate", "rates__starts")
    for code, name, untdid, reason, rate, starts in rows:
        of_code = written.setdefault(code, [])
        if starts is not None:
            of_code.append({"rate": decimal_text(rate), "from": starts.isoformat()})
        words = stated(("name", name, ""), ("untdid", untdid, "S"), ("exempt_reason", reason, ""))
        about |= {code: words} if words else {}
    return written, about


def ingredients(*, whole: bool) -> list[Entry]:
    """Write the ingredients with parts and packs."""
    parts = _grouped(
        Part.objects.values_list("ingredient_id", "code", "share", "joint", "density", "grams_each", "ndb").iterator()
    )
    packs = _grouped(
        Pack.objects.values_list(
            "ingredient_id", "size", "price", "starts", "ends", "supplier__name", "preferred"
        ).iterator()
    )
    columns = ("pk", "code", "name", "base", "density", "grams_each", "yield_share", "charge", "allergens")
    extra = ("source", "ndb", "composition", "note", "active")
    return [
        _ingredient(row, parts[row[0]], packs[row[0]], whole=whole)
        for row in Ingredient.objects.values_list(*columns, *extra).iterator()
    ]


def _ingredient(row: tuple[Any, ...], parts: list[Any], packs: list[Any], *, whole: bool) -> Entry:
    _, code, name, base, density, grams_each, share, charge, allergens, *extra = row
    written = stated(
        ("code", code, ...),
        ("name", name, ...),
        ("base", base, "g"),
        ("density", density, None),
        ("grams_each", grams_each, None),
        ("yield", share, 1),
        ("charge", charge, "used"),
        ("parts", [_part(part, whole=whole) for part in parts], []),
        ("packs", [_pack(pack) for pack in packs], []),
        ("allergens", allergens, ...),
    )
    if whole:
        source, ndb, composition, note, active = extra
        written |= stated(
            ("source", source, ""),
            ("ndb", ndb, ""),
            ("composition", _composition(composition), {}),
            ("note", note, ""),
            ("active", active, True),
        )
    return written


def _composition(stored: Mapping[str, Any]) -> Entry:
    """Write percentages as exact text whatever kind of number they are kept as."""
    return {name: decimal_text(Decimal(str(share))) for name, share in stored.items()}


def _part(row: tuple[Any, ...], *, whole: bool) -> Entry:
    code, share, joint, density, grams_each, ndb = row
    return stated(
        ("code", code, ...),
        ("share", share, ...),
        ("joint", joint, ""),
        ("density", density, None),
        ("grams_each", grams_each, None),
        ("ndb", ndb if whole else "", ""),
    )


def _pack(row: tuple[Any, ...]) -> Entry:
    size, price, starts, ends, supplier, preferred = row
    return stated(
        ("size", size, ...),
        ("price", price, ...),
        ("from", starts, ...),
        ("to", ends, None),
        ("supplier", supplier, None),
        ("preferred", preferred, False),
    )


def recipes(*, whole: bool) -> list[Entry]:
    """Write the recipes with lines and labor."""
    lines = _grouped(
        RecipeLine.objects.values_list(
            "recipe_id", "ingredient__code", "part__code", "component__code", "amount"
        ).iterator()
    )
    steps = _grouped(RecipeStep.objects.values_list("recipe_id", *STEP_COLUMNS).iterator())
    columns = ("pk", "code", "name", "loss", "batch_limit", "batch_min", "note", "active", "air", "loss_of")
    return [
        _recipe(row, lines[row[0]], [step_written(step) for step in steps[row[0]]], whole=whole)
        for row in Recipe.objects.values_list(*columns).iterator()
    ]


def _recipe(row: tuple[Any, ...], lines: list[Any], steps: list[Entry], *, whole: bool) -> Entry:
    _, code, name, loss, limit, least, note, active, air, loss_of = row
    labor = labor_of(steps, RECIPE_MINUTES)
    written = stated(
        ("code", code, ...),
        ("name", name, ...),
        ("lines", [_line(line) for line in lines], ...),
        ("loss", loss, 0),
        ("batch_limit", limit, ""),
        ("batch_min", least, ""),
        ("labour", labor, []),
    )
    if whole:
        plain = plain_steps(labor, RECIPE_MINUTES)
        written |= stated(
            ("steps", steps, plain),
            ("note", note, ""),
            ("air", air, 0),
            ("loss_of", loss_of, Recipe.LossOf.WATER),
            ("active", active, True),
        )
    return written


def _line(row: tuple[Any, ...]) -> Entry:
    ingredient, part, component, amount = row
    return stated(
        ("ingredient", ingredient, None), ("part", part, None), ("recipe", component, None), ("amount", amount, ...)
    )


def products(kinds: Mapping[str, str], *, whole: bool) -> list[Entry]:
    """Write the products; ``kinds`` gives each station's kind by code."""
    fills = _grouped(Fill.objects.values_list("product_id", "recipe__code", "amount").iterator())
    packaging = _grouped(Packaging.objects.values_list("product_id", "ingredient__code", "amount").iterator())
    steps = _grouped(ProductStep.objects.values_list("product_id", *PRODUCT_STEP_COLUMNS).iterator())
    columns = ("pk", "code", "name", "category", "servings", "sale_multiple", "spare", "load", "list_price")
    extra = ("description", "mold__name", "fill_height_cm", "keeps_hours", "holding", *COOLING, "active")
    written = []
    for row in Product.objects.values_list("tax__code", *columns, *extra).iterator():
        pk = row[1]
        of_product = [step_written(step) for step in steps[pk]]
        entry = _product(row[:10], fills[pk], packaging[pk], of_product)
        written.append(entry | (_product_extra(row[10:], entry, of_product, kinds) if whole else {}))
    return written


def _product(row: tuple[Any, ...], fills: list[Any], packaging: list[Any], steps: list[Entry]) -> Entry:
    tax, _, code, name, category, servings, multiple, spare, load, list_price = row
    return stated(
        ("code", code, ...),
        ("name", name, ...),
        ("category", category, ...),
        ("servings", servings, ...),
        ("sale_multiple", multiple, 1),
        ("spare", spare, 0),
        ("load", load, None),
        ("fill", [{"recipe": recipe, "amount": amount} for recipe, amount in fills], []),
        ("packaging", [{"ingredient": what, "amount": amount} for what, amount in packaging], []),
        ("labour", labor_of(steps, PRODUCT_MINUTES), []),
        ("station_time", station_time_of(steps), []),
        ("list_price", list_price, None),
        ("tax", tax, ...),
    )


def _product_extra(row: tuple[Any, ...], entry: Entry, steps: list[Entry], kinds: Mapping[str, str]) -> Entry:
    description, mold, height, keeps, holding, *cooling, active = row
    plain = plain_steps(entry.get("labour", ()), PRODUCT_MINUTES, entry.get("station_time", ()), kinds)
    return stated(
        ("steps", steps, plain),
        ("description", description, ""),
        ("mould", mold, None),
        ("fill_height_cm", height, None),
        ("keeps_hours", keeps, None),
        ("holding", holding, ""),
        *((key, value, COOLING[key]) for key, value in zip(COOLING, cooling, strict=True)),
        ("active", active, True),
    )


def price_rules(*, whole: bool) -> list[Entry]:
    """Write the price rules in their order."""
    columns = ("code", "name", "product__code", "category", "customer_kind", "from_units", "margin", "minimum")
    return [
        stated(
            ("code", code, ...),
            ("product", product, None),
            ("category", category, ""),
            ("customer_kind", kind, ""),
            ("from_units", units, 0),
            ("margin", margin, ...),
            ("minimum", minimum, 0),
            ("name", name if whole else "", ""),
        )
        for code, name, product, category, kind, units, margin, minimum in PriceRule.objects.values_list(*columns)
    ]
