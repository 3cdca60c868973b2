"""Read a whole Book from its JSON document: the contract's keys and the optional keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from datetime import date, datetime, time
from fractions import Fraction
from typing import Any, Final, TypeVar

from costing.contract.book import (
    Book,
    CancellationRow,
    ClosedDay,
    Composition,
    DatedHours,
    HandOverHours,
    Ingredient,
    Kitchen,
    Mold,
    MonthlyCost,
    OpenHours,
    Overhead,
    PaymentRow,
    PriceRule,
    Product,
    Profile,
    Recipe,
    Role,
    Station,
    StationOut,
    Step,
    Supplier,
    Tax,
    Vehicle,
    Vessel,
)
from costing.contract.book_reader import book_of
from costing.contract.documents import parsed
from costing.contract.errors import InputErrors
from costing.contract.whole_checks import whole_book_errors
from costing.contract.writing import OVERHEAD_KEYS
from costing.measures.numbers import number

Item = dict[str, Any]
_T = TypeVar("_T")
_SIZES = ("diameter_cm", "length_cm", "width_cm", "height_cm")
_STEP_NUMBERS = (
    *("hands_fixed", "hands_each", "minutes", "temperature_c", "wait_min", "hold_max"),
    *("leaves_c", "depth_cm", "stir_min", "bath_to_c", "bath_min", "takes_c"),
)
_STEP_OTHERS = (
    *("kind", "name", "role", "station", "text", "vessel", "vessels", "covered", "ice_bath", "takes_as"),
    "attended",
)


def read_whole_book(document: Any) -> Book:
    """Check a Book's JSON document, its optional keys too, and read all of it.

    Parameters
    ----------
    document : object, str or bytes
        As parsed, or as text.

    Returns
    -------
    Book
        With every text kept.

    Raises
    ------
    InputErrors
        Everything found wrong, at once.
    """
    document = parsed(document, "book")
    errors = whole_book_errors(document)
    if errors:
        raise InputErrors(errors)
    return whole_book_of(document)


def whole_book_of(document: Item) -> Book:
    """Read all keys of a checked document.

    Parameters
    ----------
    document : dict
        A Book without errors, its optional keys too.
    """
    plain = book_of(document)
    about = document.get("tax_categories", {})
    return replace(
        plain,
        kitchen=_kitchen(plain.kitchen, document["kitchen"]),
        roles=tuple(_role(role, document["roles"][role.code]) for role in plain.roles),
        stations=tuple(_station(station, document["stations"][station.code]) for station in plain.stations),
        taxes=tuple(_tax(tax, about.get(tax.code, {})) for tax in plain.taxes),
        overhead=None if plain.overhead is None else _overhead(plain.overhead, document["overhead"]),
        ingredients=tuple(map(_ingredient, plain.ingredients, document.get("ingredients", ()))),
        recipes=tuple(map(_recipe, plain.recipes, document.get("recipes", ()))),
        products=tuple(map(_product, plain.products, document.get("products", ()))),
        price_rules=tuple(map(_price_rule, plain.price_rules, document.get("price_rules", ()))),
        hours=_read_where_there(document, "hours", _open_hours),
        closed=_read_where_there(document, "closed", _closed_day),
        hand_over_hours=_read_where_there(document, "hand_over_hours", _hand_over_hours),
        days=_read_where_there(document, "days", _dated_hours),
        monthly_costs=tuple(map(_monthly_cost, document.get("monthly_costs", ()))),
        molds=tuple(map(_mold, document.get("moulds", ()))),
        vessels=tuple(map(_vessel, document.get("vessels", ()))),
        suppliers=_suppliers(plain, document.get("suppliers", ())),
        vehicles=tuple(Vehicle(item["name"], item.get("cold", False)) for item in document.get("vehicles", ())),
    )


def _read_where_there(document: Item, key: str, read: Callable[[Item], _T]) -> tuple[_T, ...] | None:
    return tuple(map(read, document[key])) if key in document else None


def _maybe(item: Item, key: str) -> Fraction | None:
    return number(item[key]) if key in item else None


def _given(item: Item, numbers: tuple[str, ...], others: tuple[str, ...]) -> dict[str, Any]:
    """Read the keys that are there; a missing key keeps the record's default."""
    found: dict[str, Any] = {key: number(item[key]) for key in numbers if key in item}
    return found | {key: item[key] for key in others if key in item}


def _kitchen(kitchen: Kitchen, item: Item) -> Kitchen:
    profile = item.get("profile")
    if profile is None:
        return kitchen
    numbers = ("room_c", "away_c", "deposit_share", "deposit", "final_count_fall")
    others = tuple(each.name for each in fields(Profile) if each.name not in (*numbers, *_TABLES))
    tables: dict[str, Any] = {name: tuple(map(read, profile.get(name, ()))) for name, read in _TABLES.items()}
    return replace(kitchen, profile=Profile(**_given(profile, numbers, others), **tables))


def _cancellation_row(item: Item) -> CancellationRow:
    return CancellationRow(item["days"], number(item["share"]))


def _payment_row(item: Item) -> PaymentRow:
    return PaymentRow(item["days"], _maybe(item, "share"), _maybe(item, "amount"))


#: Lists of a profile -> how a row is read.
_TABLES: Final[dict[str, Callable[[Item], Any]]] = {
    "cancellation_table": _cancellation_row,
    "payments_before": _payment_row,
    "payments_after": _payment_row,
}


def _role(role: Role, item: Item) -> Role:
    return replace(role, **_given(item, (), ("name",)))


def _station(station: Station, item: Item) -> Station:
    others = ("name", "places", "air", "derived", "count")
    out = tuple(map(_station_out, item.get("out", ())))
    return replace(station, out=out, **_given(item, ("monthly_hours", "air_c", "tolerance_c"), others))


def _station_out(item: Item) -> StationOut:
    begins, ends = (datetime.fromisoformat(item[key]) for key in ("from", "until"))
    return StationOut(begins, ends, **_given(item, (), ("count", "reason")))


def _tax(tax: Tax, about: Item) -> Tax:
    return replace(tax, **_given(about, (), ("name", "untdid", "exempt_reason")))


def _overhead(overhead: Overhead, item: Item) -> Overhead:
    return replace(
        overhead,
        monthly_labor_hours=_maybe(item, "monthly_labour_hours"),
        monthly_orders=_maybe(item, "monthly_orders"),
        derived=tuple(rate for rate, key in OVERHEAD_KEYS.items() if key in item.get("derived", ())),
    )


def _ingredient(ingredient: Ingredient, item: Item) -> Ingredient:
    shares = item.get("composition")
    composition = None if shares is None else Composition(**{name: number(share) for name, share in shares.items()})
    parts = tuple(
        replace(part, ndb=written.get("ndb", ""))
        for part, written in zip(ingredient.parts, item.get("parts", ()), strict=True)
    )
    others = _given(item, (), ("source", "ndb", "note", "active", "touches_food", "label_list", "free_by"))
    return replace(
        ingredient,
        parts=parts,
        composition=composition,
        allergen_answers=tuple(sorted(item.get("allergen_answers", {}).items())),
        allergen_names=tuple(sorted(item.get("allergen_names", {}).items())),
        **others,
    )


def _recipe(recipe: Recipe, item: Item) -> Recipe:
    steps = _steps(item) if "steps" in item else recipe.steps
    others = ("note", "loss_of", "active", "shelf_stable", "shelf_stable_source", "never_hot", "never_hot_reason")
    return replace(recipe, steps=steps, **_given(item, ("air", "kg_per_place"), others))


def _product(product: Product, item: Item) -> Product:
    others = (
        *("description", "holding", "stands_on", "covered", "carried", "cooling_rule", "active"),
        *("mold_free_after", "mold_leaves", "mold_back_days"),
    )
    return replace(
        product,
        steps=_steps(item) if "steps" in item else product.steps,
        mold=item.get("mould"),
        load_places=tuple(sorted(item.get("load_places", {}).items())),
        **_given(item, ("fill_height_cm", "keeps_hours", "usual_pieces"), others),
    )


def _steps(item: Item) -> tuple[Step, ...]:
    return tuple(
        Step(takes=tuple(step.get("takes", ())), **_given(step, _STEP_NUMBERS, _STEP_OTHERS)) for step in item["steps"]
    )


def _price_rule(rule: PriceRule, item: Item) -> PriceRule:
    return replace(rule, **_given(item, (), ("name",)))


def _open_hours(item: Item) -> OpenHours:
    return OpenHours(item["weekday"], *_interval(item), item.get("hands"))


def _hand_over_hours(item: Item) -> HandOverHours:
    return HandOverHours(item["weekday"], *_interval(item))


def _dated_hours(item: Item) -> DatedHours:
    return DatedHours(date.fromisoformat(item["date"]), *_interval(item), item.get("hands"), item.get("reason", ""))


def _interval(item: Item) -> tuple[time, time]:
    return time.fromisoformat(item["opens"]), time.fromisoformat(item["closes"])


def _closed_day(item: Item) -> ClosedDay:
    return ClosedDay(date.fromisoformat(item["date"]), item.get("reason", ""))


def _monthly_cost(item: Item) -> MonthlyCost:
    return MonthlyCost(item["name"], number(item["amount"]), item["carrier"], item.get("station"))


def _mold(item: Item) -> Mold:
    return Mold(**_given(item, _SIZES, ("name", "shape", "owned", "wall")))


def _vessel(item: Item) -> Vessel:
    return Vessel(**_given(item, _SIZES, ("name", "kind", "owned", "wall")))


def _suppliers(plain: Book, listed: Any) -> tuple[Supplier, ...]:
    """Return the suppliers by name: those listed, and those that packs name."""
    notes = {pack.supplier: "" for item in plain.ingredients for pack in item.packs if pack.supplier}
    notes |= {item["name"]: item.get("note", "") for item in listed}
    return tuple(Supplier(name, notes[name]) for name in sorted(notes))
