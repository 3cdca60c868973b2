"""Rules for the optional keys of a Book that a kitchen imports, in addition to the contract's rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import time
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any, Final
from zoneinfo import available_timezones

from costing.contract.book_checks import book_errors
from costing.contract.cooling_bounds import (
    AWAY_C,
    BATH_MIN,
    BATH_TO_C,
    COMPOSITION_SUM,
    LEAVES_C,
    MOST_AIR,
    ROOM_C,
    STATION_C,
    STIR_MIN,
)
from costing.contract.entries import DocumentEntry, Entry
from costing.contract.errors import CostingError, Path
from costing.contract.kitchen import derived_rate
from costing.contract.payment_checks import check_payments
from costing.contract.plan_checks import check_plan_keys
from costing.contract.problems import Problems
from costing.contract.ranges import ABOVE_ZERO, DISCOUNT, NOT_NEGATIVE, Range, Ranges, check_ranges
from costing.contract.standing_checks import check_product_steps, check_recipe_step, check_vessel
from costing.contract.steps import WAITING
from costing.measures.numbers import number_text

#: Most people at work at once, and most events or guests of a day; own bounds, against slips.
MOST_HANDS, MOST_A_DAY = 500, 100_000


def _degrees(bounds: tuple[int, int]) -> Range:
    coldest, hottest = bounds
    return Range("schema", f"from {coldest} to {hottest} °C", coldest, hottest)


STEP: Final[Ranges] = dict.fromkeys(("hands_fixed", "hands_each", "minutes", "wait_min", "hold_max"), NOT_NEGATIVE)
LEAVES: Final[Ranges] = {
    "leaves_c": _degrees(LEAVES_C),
    "takes_c": _degrees(LEAVES_C),
    "vessels": ABOVE_ZERO,
    "depth_cm": ABOVE_ZERO,
    "stir_min": Range("schema", f"from {STIR_MIN[0]} to {STIR_MIN[1]} minutes", *STIR_MIN),
    "bath_to_c": _degrees(BATH_TO_C),
    "bath_min": Range("schema", f"from {BATH_MIN[0]} to {BATH_MIN[1]} minutes", *BATH_MIN),
}
MOLD: Final[Ranges] = dict.fromkeys(("diameter_cm", "length_cm", "width_cm", "height_cm"), ABOVE_ZERO) | {
    "owned": NOT_NEGATIVE
}
RECIPE: Final[Ranges] = {"air": Range("bad_share", f"between 0 and {number_text(MOST_AIR)}", 0, MOST_AIR)}
PRODUCT: Final[Ranges] = {"fill_height_cm": ABOVE_ZERO, "keeps_hours": NOT_NEGATIVE}
STATION: Final[Ranges] = {"monthly_hours": ABOVE_ZERO, "places": NOT_NEGATIVE, "air_c": _degrees(STATION_C)}
OVERHEAD: Final[Ranges] = {"monthly_labour_hours": ABOVE_ZERO, "monthly_orders": ABOVE_ZERO}
PEOPLE: Final[Ranges] = {"hands": Range("schema", f"from 1 to {MOST_HANDS}", 1, MOST_HANDS)}
COST: Final[Ranges] = {"amount": NOT_NEGATIVE}
PROFILE: Final[Ranges] = {
    "room_c": _degrees(ROOM_C),
    "away_c": _degrees(AWAY_C),
    "deposit_share": DISCOUNT,
    "final_count_fall": DISCOUNT,
}
RETAINED: Final[Ranges] = {"share": DISCOUNT}
PER_DAY: Final[Ranges] = dict.fromkeys(
    ("most_events_per_day", "most_guests_per_day"), Range("schema", f"from 1 to {MOST_A_DAY}", 1, MOST_A_DAY)
)
SHARES: Final = ("water", "protein", "fat", "carb", "fibre", "ash")
COMPOSITION: Final[Ranges] = dict.fromkeys(SHARES, Range("schema", "a percentage from 0 to 100", 0, 100))
#: Overhead rate -> carrier of its monthly costs, and the key they are divided by.
SOURCES: Final = {"per_labour_hour": ("labour", "monthly_labour_hours"), "per_order": ("order", "monthly_orders")}


def whole_book_errors(document: Any) -> list[CostingError]:
    """Find everything wrong with a Book's JSON document, its optional keys too.

    Parameters
    ----------
    document : object
        The document as parsed.

    Returns
    -------
    list of CostingError
        Errors of the contract in document order, then those of the optional keys, which are checked when the document
        is valid against its schema.
    """
    errors = book_errors(document)
    if any(error.code == "schema" for error in errors):
        return errors
    found = Problems("book", document)
    check_optional_keys(found)
    return errors + found.in_order()


def check_optional_keys(found: Problems) -> None:
    """Check the optional keys of a document that is valid against its schema.

    Parameters
    ----------
    found : Problems
        The document, and where errors go.
    """
    _WholeCheck(found, DocumentEntry(found.document)).run()


class _WholeCheck:
    def __init__(self, found: Problems, book: Entry) -> None:
        self.found, self.book = found, book
        self.roles = {code for code, _ in book.coded("roles")}
        self.stations = dict(book.coded("stations"))

    def run(self) -> None:
        self._steps()
        self._recipes()
        self._products()
        self._ingredients()
        self._rates()
        self._calendar()
        self._profile()
        self._names("moulds")
        self._names("suppliers")
        for path, mold in self.book.listed("moulds"):
            self._ranges(mold, path, MOLD)
        self._names("vessels")
        self._names("vehicles")
        check_plan_keys(self.found, self.book)
        for path, vessel in self.book.listed("vessels"):
            self._ranges(vessel, path, MOLD)
            check_vessel(self.found, vessel, path)

    def _ranges(self, item: Entry, path: Path, ranges: Ranges) -> None:
        check_ranges(self.found, item, path, ranges)

    def _station(self, item: Entry, path: Path) -> None:
        code = item.text("station")
        if code is not None and code not in self.stations:
            self.found.report("unknown_station", (*path, "station"), "unknown_code", kind="station", code=code)

    def _steps(self) -> None:
        for kind in ("recipes", "products"):
            for path, item in self.book.listed(kind):
                for at, step in item.listed("steps", path):
                    self._ranges(step, at, STEP | LEAVES)
                    if step.has("leaves_c") and step.text("kind") in WAITING:
                        self.found.report("schema", (*at, "leaves_c"), "waiting_leaves")
                    role = step.text("role")
                    if role is not None and role not in self.roles:
                        self.found.report("unknown_role", (*at, "role"), "unknown_code", kind="role", code=role)
                    self._station(step, at)

    def _recipes(self) -> None:
        vessels = {vessel.text("name") for _, vessel in self.book.listed("vessels")}
        for path, recipe in self.book.listed("recipes"):
            self._ranges(recipe, path, RECIPE)
            self._agree(recipe, path, "labour", _hands(recipe), _labor(recipe, "per_batch", "per_kg"))
            for at, step in recipe.listed("steps", path):
                check_recipe_step(self.found, step, at, vessels)

    def _products(self) -> None:
        molds = {mold.text("name") for _, mold in self.book.listed("moulds")}
        for path, product in self.book.listed("products"):
            self._ranges(product, path, PRODUCT)
            self._agree(product, path, "labour", _hands(product), _labor(product, "per_load", "per_unit"))
            self._agree(product, path, "station_time", _at_stations(product), _station_time(product))
            mold = product.text("mould")
            if mold is not None and mold not in molds:
                self.found.report("schema", (*path, "mould"), "no_such_mold", mold=mold)
            check_product_steps(self.found, product, path)

    def _agree(self, item: Entry, path: Path, key: str, made: list[Any], stated: list[Any]) -> None:
        """Check that labor and station time agree with the steps, where both are written."""
        if item.has("steps") and made != stated:
            at = (*path, key) if item.has(key) else path
            self.found.report("schema", at, "steps_disagree", code=item.text("code") or "", what=key.replace("_", " "))

    def _ingredients(self) -> None:
        for path, item in self.book.listed("ingredients"):
            if item.has("composition"):
                self._composition(item, item.object("composition"), (*path, "composition"))
            answers = item.object("allergen_answers")
            for code in dict.fromkeys(item.texts("allergens")):
                if answers.has(code):
                    at = (*path, "allergen_answers", code)
                    self.found.report("schema", at, "answered_twice", code=code, ingredient=item.text("name") or "")

    def _composition(self, item: Entry, shares: Entry, path: Path) -> None:
        before = len(self.found.found)
        self._ranges(shares, path, COMPOSITION)
        least, most = COMPOSITION_SUM
        whole = sum((Decimal(shares.written(name)) for name in SHARES), Decimal(0))
        if len(self.found.found) == before and not least <= whole <= most:
            self.found.report("schema", path, "composition_sum", ingredient=item.text("name") or "", sum=f"{whole:f}")

    def _rates(self) -> None:
        overhead = self.book.object("overhead")
        self._ranges(overhead, ("overhead",), OVERHEAD)
        for code, station in self.stations.items():
            self._ranges(station, ("stations", code), STATION)
        for path, cost in self.book.listed("monthly_costs"):
            self._monthly_cost(cost, path)
        sums = self._monthly_sums()
        for code, station in self.stations.items():
            if station.flag("derived"):
                derived = derived_rate(sums.get("station " + code, Fraction(0)), _exact(station, "monthly_hours"))
                self._derived(station, ("stations", code), "hourly", derived)
        unstated = overhead.texts("derived") if self.book.has("overhead") else tuple(SOURCES)
        for key, (carrier, divisor) in SOURCES.items():
            if key in unstated:
                derived = derived_rate(sums.get(carrier, Fraction(0)), _exact(overhead, divisor))
                self._derived(overhead, ("overhead",), key, derived)

    def _monthly_cost(self, cost: Entry, path: Path) -> None:
        self._ranges(cost, path, COST)
        if (cost.text("carrier") == "station") != cost.has("station"):
            self.found.report("schema", path, "station_and_carrier")
        else:
            self._station(cost, path)

    def _monthly_sums(self) -> dict[str, Fraction]:
        sums: dict[str, Fraction] = {}
        for _, cost in self.book.listed("monthly_costs"):
            carrier = cost.text("carrier") or ""
            key = f"station {cost.text('station')}" if carrier == "station" else carrier
            sums[key] = sums.get(key, Fraction(0)) + (_exact(cost, "amount") or 0)
        return sums

    def _derived(self, item: Entry, path: Path, key: str, derived: Fraction | None) -> None:
        rate = derived or Fraction(0)
        if (item.number(key) or 0) != rate:
            at = (*path, key) if item.has(key) else path
            self.found.report("schema", at, "not_derived", rate=number_text(rate), what=key.replace("_", " "))

    def _calendar(self) -> None:
        for kind in ("hours", "hand_over_hours", "days"):
            for path, hours in self.book.listed(kind):
                self._interval(hours, path)
        seen: set[str | None] = set()
        for path, closed in self.book.listed("closed"):
            day = closed.text("date")
            if day in seen:
                self.found.report("duplicate_code", (*path, "date"), "closed_twice", day=day or "")
            seen.add(day)
        for path, hours in self.book.listed("days"):
            if (day := hours.text("date")) in seen:
                self.found.report("schema", (*path, "date"), "closed_and_open", day=day or "")

    def _interval(self, hours: Entry, path: Path) -> None:
        weekday = hours.number("weekday")
        if weekday is not None and not 0 <= weekday <= 6:
            self.found.report("schema", (*path, "weekday"), "no_weekday")
        opens, closes = (self._clock(hours, path, key) for key in ("opens", "closes"))
        if opens and closes and closes <= opens:
            self.found.report("schema", (*path, "closes"), "closes_first")
        self._ranges(hours, path, PEOPLE)

    def _clock(self, hours: Entry, path: Path, key: str) -> time | None:
        try:
            moment = time.fromisoformat(hours.text(key) or "")
        except ValueError:
            self.found.report("schema", (*path, key), "no_clock")
            return None
        if moment.tzinfo is not None:
            self.found.report("schema", (*path, key), "zoned_clock")
        return moment.replace(tzinfo=None)

    def _profile(self) -> None:
        path: Path = ("kitchen", "profile")
        profile = self.book.object("kitchen").object("profile")
        self._ranges(profile, path, PROFILE | PER_DAY)
        zone = profile.text("time_zone")
        if zone is not None and zone not in available_timezones():
            self.found.report("schema", (*path, "time_zone"), "no_time_zone")
        if profile.has("time_out_minutes") != bool((profile.text("time_out_source") or "").strip()):
            at = "time_out_source" if profile.has("time_out_minutes") else "time_out_minutes"
            self.found.report("schema", (*path, at), "limit_and_source")
        self._cancellation(profile, path)
        check_payments(self.found, self.book)

    def _cancellation(self, profile: Entry, path: Path) -> None:
        """Check that what is kept of a canceled order never falls as the event comes nearer, each day once."""
        listed = list(profile.listed("cancellation_table", path))
        for at, row in listed:
            self._ranges(row, at, RETAINED)
        rows = [(at, row.number("days"), row.number("share")) for at, row in listed]
        for (_, days, share), (at, nearer, later) in pairwise(rows):
            if days is not None and nearer is not None and nearer >= days:
                self.found.report("schema", (*at, "days"), "cancellation_days")
            elif share is not None and later is not None and later < share:
                self.found.report("schema", (*at, "share"), "cancellation_falls")
        tax = profile.text("cancellation_tax")
        if tax and not self.book.object("taxes").has(tax):
            self.found.report("schema", (*path, "cancellation_tax"), "no_cancellation_tax", tax=tax)

    def _names(self, kind: str) -> None:
        seen: set[str | None] = set()
        for path, item in self.book.listed(kind):
            name = item.text("name")
            if name in seen:
                self.found.report("duplicate_code", (*path, "name"), "name_twice", name=name or "", kind=kind)
            seen.add(name)


def _exact(item: Entry, key: str) -> Fraction | None:
    value = item.number(key)
    return None if value is None else Fraction(value)


def _hands(item: Entry) -> list[tuple[str | None, Any, Any]]:
    """Return the labor of the steps; minutes compare as numbers, and zero equals a missing value."""
    return list(_worked((step for _, step in item.listed("steps")), "hands_fixed", "hands_each"))


def _labor(item: Entry, fixed: str, each: str) -> list[tuple[str | None, Any, Any]]:
    return list(_worked((labor for _, labor in item.listed("labour")), fixed, each))


def _worked(items: Iterable[Entry], fixed: str, each: str) -> Iterator[tuple[str | None, Any, Any]]:
    return ((item.text("role"), item.number(fixed) or 0, item.number(each) or 0) for item in items if item.has("role"))


def _at_stations(item: Entry) -> list[tuple[str | None, Any]]:
    steps = (step for _, step in item.listed("steps"))
    return [(step.text("station"), step.number("minutes") or 0) for step in steps if step.has("station")]


def _station_time(item: Entry) -> list[tuple[str | None, Any]]:
    times = (time for _, time in item.listed("station_time"))
    return [(time.text("station"), time.number("minutes_per_load") or 0) for time in times]
