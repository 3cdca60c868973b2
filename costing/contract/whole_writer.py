"""Write a whole Book as its JSON document, without losing anything of an exported kitchen.

A key is left out where its value is the default, or follows from labor and station time. A Book that was read without
optional keys is therefore written without them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import fields
from datetime import datetime, time
from typing import Any, TypeVar

from costing.contract.book import (
    ZERO,
    Book,
    Composition,
    DatedHours,
    HandOverHours,
    Ingredient,
    Mold,
    OpenHours,
    Overhead,
    PaymentRow,
    Product,
    Profile,
    Recipe,
    Role,
    Station,
    StationOut,
    Step,
    Tax,
    Vehicle,
    Vessel,
)
from costing.contract.book_writer import write_book
from costing.contract.steps import plain_product_steps, plain_recipe_steps
from costing.contract.writing import OVERHEAD_KEYS, stated
from costing.measures.numbers import number_text

Item = dict[str, Any]
_T = TypeVar("_T")


def write_whole_book(book: Book) -> Item:
    """Write all of a Book as its JSON document.

    Parameters
    ----------
    book : Book
        Any Book.

    Returns
    -------
    dict
        `costing.contract.read_whole_book` reads the same Book back.

    Raises
    ------
    ValueError
        When a number has no finite decimal form.
    """
    plain = write_book(book)
    plain["overhead"] = {} if book.overhead is None else _overhead(book.overhead)
    for kind, extras in _extras(book).items():
        written = plain[kind].values() if isinstance(plain[kind], dict) else plain[kind]
        for item, extra in zip(written, extras, strict=True):
            item.update(extra)
    for ingredient, item in zip(book.ingredients, plain["ingredients"], strict=True):
        for part, written in zip(ingredient.parts, item.get("parts", ()), strict=True):
            written.update(stated((("ndb", part.ndb, ""),)))
    if book.kitchen.profile is not None and (profile := _profile(book.kitchen.profile)):
        plain["kitchen"]["profile"] = profile
    order = ("format", "currency", "kitchen", "overhead", "roles", "stations", "taxes", "delivery", "ingredients")
    optional = ("overhead", "delivery")
    whole = {key: plain[key] for key in order if key in plain and (plain[key] or key not in optional)}
    return whole | {key: plain[key] for key in ("recipes", "products", "price_rules")} | _top(book)


def _extras(book: Book) -> dict[str, Iterable[Item]]:
    """Write the optional keys of each record, by the list that holds the record."""
    kinds = {station.code: station.kind for station in book.stations}
    return {
        "roles": map(_role, book.roles),
        "stations": map(_station, book.stations),
        "ingredients": map(_ingredient, book.ingredients),
        "recipes": map(_recipe, book.recipes),
        "products": (_product(product, kinds) for product in book.products),
        "price_rules": (stated((("name", rule.name, ""),)) for rule in book.price_rules),
    }


def _overhead(overhead: Overhead) -> Item:
    """Write the rates, stated or derived; the names of derived rates only when other keys are written too."""
    rates = [
        (key, getattr(overhead, rate), ZERO if rate in overhead.derived else ...) for rate, key in OVERHEAD_KEYS.items()
    ]
    monthly = (
        ("monthly_labour_hours", overhead.monthly_labor_hours, None),
        ("monthly_orders", overhead.monthly_orders, None),
    )
    written = stated((*rates, *monthly))
    derived = [OVERHEAD_KEYS[rate] for rate in overhead.derived]
    return written | ({"derived": derived} if written and derived else {})


def _role(role: Role) -> Item:
    return stated((("name", role.name, ""),))


def _station(station: Station) -> Item:
    return stated(
        (
            ("name", station.name, ""),
            ("monthly_hours", station.monthly_hours, None),
            ("places", station.places, None),
            ("air_c", station.air_c, None),
            ("air", station.air, "still"),
            ("derived", station.derived, False),
            ("count", station.count, 1),
            ("tolerance_c", station.tolerance_c, None),
            ("out", list(map(_station_out, station.out)), []),
        )
    )


def _station_out(out: StationOut) -> Item:
    return stated(
        (
            ("from", _moment(out.begins), ...),
            ("until", _moment(out.ends), ...),
            ("count", out.count, 1),
            ("reason", out.reason, ""),
        )
    )


def _ingredient(item: Ingredient) -> Item:
    return stated(
        (
            ("source", item.source, ""),
            ("ndb", item.ndb, ""),
            ("composition", None if item.composition is None else _composition(item.composition), None),
            ("allergen_answers", dict(item.allergen_answers), {}),
            ("allergen_names", dict(item.allergen_names), {}),
            ("touches_food", item.touches_food, True),
            ("label_list", item.label_list, ""),
            ("free_by", item.free_by, ""),
            ("note", item.note, ""),
            ("active", item.active, True),
        )
    )


def _composition(composition: Composition) -> Item:
    return {each.name: number_text(getattr(composition, each.name)) for each in fields(composition)}


def _recipe(item: Recipe) -> Item:
    plain = item.steps == plain_recipe_steps(item.labor)
    return stated(
        (
            ("steps", [] if plain else list(map(_step, item.steps)), []),
            ("note", item.note, ""),
            ("air", item.air, ZERO),
            ("loss_of", item.loss_of, "water"),
            ("shelf_stable", item.shelf_stable, False),
            ("shelf_stable_source", item.shelf_stable_source, ""),
            ("never_hot", item.never_hot, False),
            ("never_hot_reason", item.never_hot_reason, ""),
            ("kg_per_place", item.kg_per_place, None),
            ("active", item.active, True),
        )
    )


def _product(item: Product, kinds: dict[str, str]) -> Item:
    plain = item.steps == plain_product_steps(item.labor, item.station_time, kinds)
    return stated(
        (
            ("steps", [] if plain else list(map(_step, item.steps)), []),
            ("description", item.description, ""),
            ("mould", item.mold, None),
            ("fill_height_cm", item.fill_height_cm, None),
            ("keeps_hours", item.keeps_hours, None),
            ("holding", item.holding, ""),
            ("stands_on", item.stands_on, "open"),
            ("covered", item.covered, False),
            ("carried", item.carried, "carton"),
            ("cooling_rule", item.cooling_rule, ""),
            ("load_places", dict(item.load_places), {}),
            ("mold_free_after", item.mold_free_after, None),
            ("mold_leaves", item.mold_leaves, False),
            ("mold_back_days", item.mold_back_days, None),
            ("usual_pieces", item.usual_pieces, None),
            ("active", item.active, True),
        )
    )


def _step(step: Step) -> Item:
    return stated(
        (
            ("name", step.name, ""),
            ("kind", step.kind, ...),
            ("role", step.role, None),
            ("hands_fixed", step.hands_fixed, ZERO),
            ("hands_each", step.hands_each, ZERO),
            ("station", step.station, None),
            ("minutes", step.minutes, None),
            ("temperature_c", step.temperature_c, None),
            ("wait_min", step.wait_min, None),
            ("hold_max", step.hold_max, None),
            ("text", step.text, ""),
            ("leaves_c", step.leaves_c, None),
            ("vessel", step.vessel, None),
            ("vessels", step.vessels, None),
            ("depth_cm", step.depth_cm, None),
            ("covered", step.covered, False),
            ("ice_bath", step.ice_bath, False),
            ("stir_min", step.stir_min, None),
            ("bath_to_c", step.bath_to_c, None),
            ("bath_min", step.bath_min, None),
            ("takes", list(step.takes), []),
            ("takes_c", step.takes_c, None),
            ("takes_as", step.takes_as, "mixed"),
            ("attended", step.attended, ""),
        )
    )


def _profile(profile: Profile) -> Item:
    blank = Profile()
    retained = [{"days": row.days, "share": number_text(row.share)} for row in profile.cancellation_table]
    payments = {name: list(map(_payment_row, getattr(profile, name))) for name in ("payments_before", "payments_after")}
    tables = {"cancellation_table": retained, **payments}
    plain = (each.name for each in fields(profile) if each.name not in tables)
    columns = stated((name, getattr(profile, name), getattr(blank, name)) for name in plain)
    return columns | stated((name, rows, []) for name, rows in tables.items())


def _payment_row(row: PaymentRow) -> Item:
    return stated((("days", row.days, ...), ("share", row.share, None), ("amount", row.amount, None)))


def _top(book: Book) -> Item:
    """Write the optional keys at the top of the document."""
    closed = None
    if book.closed is not None:
        closed = [stated((("date", day.date, ...), ("reason", day.reason, ""))) for day in book.closed]
    costs = [
        stated((("name", cost.name, ...), ("amount", cost.amount, ...), ("carrier", cost.carrier, ...)))
        | stated((("station", cost.station, None),))
        for cost in book.monthly_costs
    ]
    return stated(
        (
            ("tax_categories", {tax.code: category for tax in book.taxes if (category := _tax_category(tax))}, {}),
            ("hours", _each(_open_hours, book.hours), None),
            ("hand_over_hours", _each(_hand_over_hours, book.hand_over_hours), None),
            ("days", _each(_dated_hours, book.days), None),
            ("closed", closed, None),
            ("monthly_costs", costs, []),
            ("moulds", list(map(_mold, book.molds)), []),
            ("vessels", list(map(_vessel, book.vessels)), []),
            ("suppliers", _suppliers(book), []),
            ("vehicles", list(map(_vehicle, book.vehicles)), []),
        )
    )


def _tax_category(tax: Tax) -> Item:
    return stated((("name", tax.name, ""), ("untdid", tax.untdid, "S"), ("exempt_reason", tax.exempt_reason, "")))


def _open_hours(hours: OpenHours) -> Item:
    return {"weekday": hours.weekday} | _interval(hours) | stated((("hands", hours.hands, None),))


def _hand_over_hours(hours: HandOverHours) -> Item:
    return {"weekday": hours.weekday} | _interval(hours)


def _dated_hours(hours: DatedHours) -> Item:
    about = stated((("hands", hours.hands, None), ("reason", hours.reason, "")))
    return {"date": hours.date.isoformat()} | _interval(hours) | about


def _interval(hours: OpenHours | HandOverHours | DatedHours) -> Item:
    return {"opens": _clock(hours.opens), "closes": _clock(hours.closes)}


def _each(write: Callable[[_T], Item], records: Iterable[_T] | None) -> list[Item] | None:
    return None if records is None else list(map(write, records))


def _clock(moment: time) -> str:
    """Write a time of day, with seconds only where there are some."""
    return moment.isoformat("minutes" if not (moment.second or moment.microsecond) else "auto")


def _moment(moment: datetime) -> str:
    """Write a local date and time, with seconds only where there are some."""
    return moment.isoformat(timespec="minutes" if not (moment.second or moment.microsecond) else "auto")


def _vehicle(vehicle: Vehicle) -> Item:
    return stated((("name", vehicle.name, ...), ("cold", vehicle.cold, False)))


def _mold(mold: Mold) -> Item:
    return stated(
        (
            ("name", mold.name, ...),
            ("shape", mold.shape, ...),
            ("diameter_cm", mold.diameter_cm, None),
            ("length_cm", mold.length_cm, None),
            ("width_cm", mold.width_cm, None),
            ("height_cm", mold.height_cm, None),
            ("owned", mold.owned, ...),
            ("wall", mold.wall, "metal"),
        )
    )


def _vessel(vessel: Vessel) -> Item:
    return stated(
        (
            ("name", vessel.name, ...),
            ("kind", vessel.kind, ...),
            ("diameter_cm", vessel.diameter_cm, None),
            ("length_cm", vessel.length_cm, None),
            ("width_cm", vessel.width_cm, None),
            ("height_cm", vessel.height_cm, None),
            ("owned", vessel.owned, None),
            ("wall", vessel.wall, "metal"),
        )
    )


def _suppliers(book: Book) -> list[Item]:
    """List the suppliers only when one has a note or no packs; otherwise the packs name all of them."""
    sellers = {pack.supplier for item in book.ingredients for pack in item.packs}
    if all(supplier.name in sellers and not supplier.note for supplier in book.suppliers):
        return []
    return [stated((("name", supplier.name, ...), ("note", supplier.note, ""))) for supplier in book.suppliers]
