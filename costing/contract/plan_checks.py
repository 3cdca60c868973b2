"""Rules for what a plan reads of a Book: stations alike and out of order, places of loads, molds, waits, vehicles."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from costing.contract.entries import Entry
from costing.contract.errors import Path
from costing.contract.plan_bounds import (
    BACK_DAYS,
    KG_PER_PLACE,
    LONGEST_WAIT_MIN,
    MOST_ALIKE,
    MOST_PLACES,
    TOLERANCE_C,
    USUAL_PIECES,
)
from costing.contract.problems import Problems
from costing.contract.ranges import Range, Ranges, check_ranges


def _from_to(least: int, most: int, unit: str = "") -> Range:
    return Range("schema", f"from {least} to {most}{unit}", least, most)


STATION: Final[Ranges] = {"count": _from_to(1, MOST_ALIKE), "tolerance_c": _from_to(*TOLERANCE_C, " °C")}
OUT: Final[Ranges] = {"count": _from_to(1, MOST_ALIKE)}
RECIPE: Final[Ranges] = {
    "kg_per_place": Range("schema", f"above 0 and at most {KG_PER_PLACE} kg", 0, KG_PER_PLACE, above_least=True)
}
PRODUCT: Final[Ranges] = {
    "mold_back_days": _from_to(0, BACK_DAYS, " days"),
    "usual_pieces": Range("schema", f"above 0 and at most {USUAL_PIECES}", 0, USUAL_PIECES, above_least=True),
}
PROFILE: Final[Ranges] = {"longest_wait_min": _from_to(1, LONGEST_WAIT_MIN, " minutes")}
_PLACES: Final = _from_to(1, MOST_PLACES)
_KINDS: Final = ("oven", "refrigerator", "freezer", "rack", "bench")


def check_plan_keys(found: Problems, book: Entry) -> None:
    """Check what a plan reads.

    Parameters
    ----------
    found : Problems
        Where errors go.
    book : Entry
        The document, valid against its schema.
    """
    for code, station in book.coded("stations"):
        _check_station(found, station, ("stations", code), code)
    for path, recipe in book.listed("recipes"):
        check_ranges(found, recipe, path, RECIPE)
    for path, product in book.listed("products"):
        _check_product(found, product, path)
    check_ranges(found, book.object("kitchen").object("profile"), ("kitchen", "profile"), PROFILE)
    _check_vehicles(found, book)


def _check_station(found: Problems, station: Entry, path: Path, code: str) -> None:
    check_ranges(found, station, path, STATION)
    alike = station.number("count") if station.has("count") else 1
    for at, out in station.listed("out", path):
        check_ranges(found, out, at, OUT)
        count = out.number("count") if out.has("count") else 1
        if count is not None and alike is not None and count > alike:
            found.report("schema", (*at, "count"), "more_out", station=code, count=int(count), alike=int(alike))
        begins, ends = (_moment(found, out, at, key) for key in ("from", "until"))
        if begins and ends and ends <= begins:
            found.report("schema", (*at, "until"), "until_first")


def _moment(found: Problems, out: Entry, path: Path, key: str) -> datetime | None:
    """Return a local date and time; report one that is none, or has a time zone."""
    try:
        moment = datetime.fromisoformat(out.text(key) or "")
    except ValueError:
        moment = None
    if moment is None or "T" not in (out.text(key) or "") or moment.tzinfo is not None:
        found.report("schema", (*path, key), "no_moment")
        return None
    return moment


def _check_product(found: Problems, product: Entry, path: Path) -> None:
    check_ranges(found, product, path, PRODUCT)
    check_ranges(found, product.object("load_places"), (*path, "load_places"), dict.fromkeys(_KINDS, _PLACES))
    made = ("steps",) if product.has("steps") else ("labour", "station_time")
    steps = sum(1 for key in made for _ in product.listed(key))
    after = product.number("mold_free_after")
    for key in ("mold_free_after", "mold_leaves", "mold_back_days"):
        if product.has(key) and product.text("mould") is None:
            found.report("schema", (*path, key), "no_mold_stated", product=product.text("name") or "")
    if after is not None and not 1 <= after <= steps:
        found.report("schema", (*path, "mold_free_after"), "no_such_step", number=int(after), steps=steps)
    if after is not None and product.flag("mold_leaves"):
        found.report("schema", (*path, "mold_free_after"), "mold_free_and_away")
    if product.has("mold_back_days") and not product.flag("mold_leaves"):
        found.report("schema", (*path, "mold_back_days"), "back_without_leaving")


def _check_vehicles(found: Problems, book: Entry) -> None:
    cold = [vehicle.flag("cold") for _, vehicle in book.listed("vehicles")]
    profile = book.object("kitchen").object("profile")
    if cold and book.object("kitchen").has("profile") and profile.flag("vehicle_cold") != all(cold):
        found.report("schema", ("kitchen", "profile", "vehicle_cold"), "vehicles_disagree")
