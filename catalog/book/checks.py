"""What must hold for the optional keys of a Book before it is taken over; the contract's keys are costing's."""

from collections.abc import Callable, Iterator, Mapping
from datetime import time
from decimal import Decimal
from typing import Any, Final
from zoneinfo import available_timezones

from babel.core import Locale, UnknownLocaleError
from django.core.exceptions import ValidationError

from catalog.book.cooling_checks import check_cooling
from catalog.book.extras import PROFILE, UNNAMED
from catalog.book.steps import PRODUCT_MINUTES, RECIPE_MINUTES, Entry, labor_of, station_time_of
from catalog.kitchen.models import Kitchen
from catalog.rates import overhead as rates
from costing.contract import CostingError, InputErrors, book_errors
from costing.contract.entries import entries
from costing.contract.problems import Problems
from costing.contract.ranges import ABOVE_ZERO, DISCOUNT, NOT_NEGATIVE, Ranges, check_numbers

STEP: Final[Ranges] = dict.fromkeys(("hands_fixed", "hands_each", "minutes", "wait_min", "hold_max"), NOT_NEGATIVE)
MOLD: Final[Ranges] = dict.fromkeys(("diameter_cm", "length_cm", "width_cm", "height_cm"), ABOVE_ZERO) | {
    "owned": NOT_NEGATIVE
}
PRODUCT: Final[Ranges] = {"fill_height_cm": ABOVE_ZERO, "keeps_hours": NOT_NEGATIVE}
STATION: Final[Ranges] = {"monthly_hours": ABOVE_ZERO, "places": NOT_NEGATIVE}
OVERHEAD: Final[Ranges] = {"monthly_labour_hours": ABOVE_ZERO, "monthly_orders": ABOVE_ZERO}
Path = tuple[str | int, ...]


def check_document(document: Any) -> None:
    """Check a whole Book, the optional keys included.

    Raises
    ------
    InputErrors
        Everything found wrong, at once, in document order.
    """
    errors = book_errors(document)
    if not any(error.code == "schema" for error in errors):
        errors += extension_errors(document)
    if errors:
        raise InputErrors(errors)


def extension_errors(document: dict[str, Any]) -> list[CostingError]:
    """Find what is wrong with the optional keys of a Book that keeps its schema."""
    found = Problems("book", document)
    _check_texts(found, document, ())
    _check_steps(found, document)
    _check_products(found, document)
    _check_rates(found, document)
    _check_calendar(found, document)
    _check_profile(found, document)
    check_cooling(found, document)
    for kind in ("moulds", "suppliers"):
        _check_names(found, document, kind)
    for path, mold in entries(document.get("moulds"), ("moulds",)):
        check_numbers(found, mold, path, MOLD)
    return found.in_order()


def _check_texts(found: Problems, value: Any, path: Path) -> None:
    """No database keeps a NUL or half a surrogate pair."""
    if isinstance(value, str):
        if "\0" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
            found.add("schema", path, "This text holds a character that cannot be stored. Take it out.")
    elif isinstance(value, dict):
        for key, item in value.items():
            _check_texts(found, key, (*path, key))
            _check_texts(found, item, (*path, key))
    elif isinstance(value, list):
        for i, item in enumerate(value):
            _check_texts(found, item, (*path, i))


def _steps(document: dict[str, Any], kind: str) -> Iterator[tuple[Path, Entry]]:
    for path, item in entries(document.get(kind), (kind,)):
        if "steps" in item:
            yield path, item


def _check_steps(found: Problems, document: dict[str, Any]) -> None:
    implied: tuple[tuple[str, str, Callable[[list[Entry]], list[Entry]]], ...] = (
        ("recipes", "labour", lambda steps: labor_of(steps, RECIPE_MINUTES)),
        ("products", "labour", lambda steps: labor_of(steps, PRODUCT_MINUTES)),
        ("products", "station_time", station_time_of),
    )
    for kind in ("recipes", "products"):
        for path, item in _steps(document, kind):
            for at, step in entries(item["steps"], (*path, "steps")):
                _check_step(found, document, at, step)
    for kind, key, imply in implied:
        for path, item in _steps(document, kind):
            if _as_numbers(imply(item["steps"])) != _as_numbers(item.get(key, [])):
                words = key.replace("_", " ")
                found.add(
                    "schema",
                    (*path, key) if key in item else path,
                    f"The steps of “{item['code']}” do not make its {words}. Make the two agree, or leave one out.",
                )


def _as_numbers(items: list[Entry]) -> list[dict[str, str | Decimal]]:
    """Minutes compare as numbers; zero is the same as left out."""
    written = []
    for item in items:
        names = {key: value for key, value in item.items() if key in ("role", "station")}
        minutes = {key: Decimal(value) for key, value in item.items() if key not in names and Decimal(value)}
        written.append(names | minutes)
    return written


def _check_step(found: Problems, document: dict[str, Any], path: Path, step: Entry) -> None:
    check_numbers(found, step, path, STEP)
    for key, known in (("role", document["roles"]), ("station", document["stations"])):
        if key in step and step[key] not in known:
            found.add(
                f"unknown_{key}",
                (*path, key),
                f"There is no {key} with the code “{step[key]}” in the Book. Correct the code or add it.",
            )


def _check_products(found: Problems, document: dict[str, Any]) -> None:
    molds = {mold["name"] for mold in document.get("moulds", ())}
    for path, product in entries(document.get("products"), ("products",)):
        check_numbers(found, product, path, PRODUCT)
        if product.get("mould") is not None and product["mould"] not in molds:
            found.add("schema", (*path, "mould"), f"No mould is called “{product['mould']}”. Add it to moulds.")


def _check_rates(found: Problems, document: dict[str, Any]) -> None:
    stations: Mapping[str, Entry] = document["stations"]
    check_numbers(found, document.get("overhead", {}), ("overhead",), OVERHEAD)
    for code, station in stations.items():
        check_numbers(found, station, ("stations", code), STATION)
    for path, cost in entries(document.get("monthly_costs"), ("monthly_costs",)):
        _check_cost(found, stations, path, cost)
    sums = _sums(document)
    for code, station in stations.items():
        if station.get("derived"):
            hours = station.get("monthly_hours")
            _check_derived(found, ("stations", code), station, "hourly", sums.get("station " + code), hours)
    overhead = document.get("overhead", {})
    unstated = overhead.get("derived", ()) if "overhead" in document else ("per_labour_hour", "per_order")
    sources = {"per_labour_hour": ("labour", "monthly_labour_hours"), "per_order": ("order", "monthly_orders")}
    for key, (carrier, counted) in sources.items():
        if key in unstated:
            _check_derived(found, ("overhead",), overhead, key, sums.get(carrier), overhead.get(counted))


def _check_cost(found: Problems, stations: Mapping[str, Entry], path: Path, cost: Entry) -> None:
    check_numbers(found, cost, path, {"amount": NOT_NEGATIVE})
    if (cost["carrier"] == "station") != ("station" in cost):
        found.add("schema", path, "A monthly cost names a station when, and only when, a station carries it.")
    elif cost.get("station") is not None and cost["station"] not in stations:
        found.add(
            "unknown_station",
            (*path, "station"),
            f"There is no station with the code “{cost['station']}” in the Book. Correct the code or add it.",
        )


def _sums(document: dict[str, Any]) -> dict[str, Decimal]:
    sums: dict[str, Decimal] = {}
    for cost in document.get("monthly_costs", ()):
        carrier = f"station {cost.get('station')}" if cost["carrier"] == "station" else cost["carrier"]
        sums[carrier] = sums.get(carrier, Decimal(0)) + Decimal(cost["amount"])
    return sums


def _check_derived(
    found: Problems, path: Path, item: Entry, key: str, total: Decimal | None, divisor: str | None
) -> None:
    derived = rates.derived(total or Decimal(0), None if divisor is None else Decimal(divisor)) or Decimal(0)
    if Decimal(item.get(key, "0")) != derived:
        found.add(
            "schema",
            (*path, key) if key in item else path,
            f"The monthly figures give {derived} for {key.replace('_', ' ')}. Write that, or state the rate.",
        )


def _check_calendar(found: Problems, document: dict[str, Any]) -> None:
    for path, hours in entries(document.get("hours"), ("hours",)):
        if not 0 <= hours["weekday"] <= 6:
            found.add("schema", (*path, "weekday"), "A weekday is a number from 0, Monday, to 6, Sunday.")
        moments = [_clock(found, path, hours, key) for key in ("opens", "closes")]
        if moments[0] and moments[1] and moments[1] <= moments[0]:
            found.add("schema", (*path, "closes"), "The closing time has to be later than the opening time.")
    seen: set[str] = set()
    for path, closed in entries(document.get("closed"), ("closed",)):
        if closed["date"] in seen:
            found.add("duplicate_code", (*path, "date"), f"{closed['date']} is closed twice. Keep one of them.")
        seen.add(closed["date"])


def _clock(found: Problems, path: Path, hours: Entry, key: str) -> time | None:
    try:
        moment = time.fromisoformat(hours[key])
    except ValueError:
        found.add("schema", (*path, key), "A time is written like 07:30.")
        return None
    if moment.tzinfo is not None:
        found.add("schema", (*path, key), "A time is written like 07:30, without a time zone.")
    return moment.replace(tzinfo=None)


def _check_profile(found: Problems, document: dict[str, Any]) -> None:
    profile = document["kitchen"].get("profile")
    if profile is None:
        return
    row = Kitchen(**({"name": UNNAMED, "email": ""} | profile))
    # An e-mail address may still be unknown; everything else has a default.
    skipped = {field.name for field in Kitchen._meta.fields} - set(PROFILE) | ({"email"} if not row.email else set())
    try:
        row.clean_fields(exclude=skipped)
    except ValidationError as refused:
        for key, messages in refused.message_dict.items():
            found.add("schema", ("kitchen", "profile", key), f"{key.replace('_', ' ').capitalize()}: {messages[0]}")
    check_numbers(found, profile, ("kitchen", "profile"), {"deposit_share": DISCOUNT})
    if row.time_zone not in available_timezones():
        found.add("schema", ("kitchen", "profile", "time_zone"), "Write a time zone such as Europe/Berlin.")
    try:
        Locale.parse(row.locale)
    except (UnknownLocaleError, ValueError):
        found.add("schema", ("kitchen", "profile", "locale"), "Write a locale such as en_US.")


def _check_names(found: Problems, document: dict[str, Any], kind: str) -> None:
    seen: set[str] = set()
    for path, item in entries(document.get(kind), (kind,)):
        if item["name"] in seen:
            found.add("duplicate_code", (*path, "name"), f"“{item['name']}” stands twice in {kind}. Keep one of them.")
        seen.add(item["name"])
