"""The optional keys of an exported kitchen that stand beside the Book: profile, hours, molds, suppliers."""

from datetime import time
from typing import Any, Final

from django.db.models import Count

from catalog.book.rows import stated
from catalog.book.steps import Entry
from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours
from catalog.molds.models import Mold
from catalog.pantry.models import Supplier
from catalog.rates.models import MonthlyCost

#: What a kitchen is called until its owner has said.
UNNAMED: Final = "Your kitchen"
PROFILE: Final = (
    "name",
    "legal_name",
    "address",
    "country",
    "email",
    "phone",
    "locale",
    "time_zone",
    "measures",
    "degrees",
    "distance",
    "paper",
    "allergen_list",
    "food_safety",
    "room_c",
    "away_c",
    "vehicle_cold",
    "tax_name",
    "tax_number",
    "tax_note",
    "quote_valid_days",
    "deposit_share",
    "deposit_days",
    "final_count_days",
    "balance_days",
    "cancellation_terms",
    "approve_button",
    "payment_details",
)


def profile_defaults() -> dict[str, Any]:
    """Return the profile of a kitchen nobody has described yet."""
    blank = Kitchen(name=UNNAMED, email="")
    return {key: getattr(blank, key) for key in PROFILE}


def profile(row: Kitchen) -> Entry:
    """Write the kitchen's profile; empty while nobody has described it."""
    return stated(*((key, getattr(row, key), default) for key, default in profile_defaults().items()))


def extras() -> Entry:
    """Write hours, closed days, monthly figures, molds and suppliers, leaving out what is empty; five queries."""
    return stated(
        ("hours", _hours(), []),
        ("closed", _closed(), []),
        ("monthly_costs", _monthly_costs(), []),
        ("moulds", _molds(), []),
        ("suppliers", _suppliers(), []),
    )


def clock_text(moment: time) -> str:
    """Write a time of day, with seconds only where there are some."""
    return moment.isoformat("minutes" if not (moment.second or moment.microsecond) else "auto")


def _hours() -> list[Entry]:
    return [
        {"weekday": weekday, "opens": clock_text(opens), "closes": clock_text(closes)}
        for weekday, opens, closes in OpenHours.objects.values_list("weekday", "opens", "closes")
    ]


def _closed() -> list[Entry]:
    return [
        stated(("date", day, ...), ("reason", reason, ""))
        for day, reason in ClosedDay.objects.values_list("date", "reason")
    ]


def _monthly_costs() -> list[Entry]:
    return [
        stated(("name", name, ...), ("amount", amount, ...), ("carrier", carrier, ...), ("station", station, None))
        for name, amount, carrier, station in MonthlyCost.objects.values_list(
            "name", "amount", "carrier", "station__code"
        )
    ]


def _molds() -> list[Entry]:
    sizes = ("diameter_cm", "length_cm", "width_cm", "height_cm")
    return [
        stated(
            ("name", name, ...),
            ("shape", shape, ...),
            *((key, size, None) for key, size in zip(sizes, row, strict=True)),
            ("owned", owned, ...),
            ("wall", wall, Mold.Wall.METAL),
        )
        for name, shape, owned, wall, *row in sorted(
            Mold.objects.values_list("name", "shape", "owned", "wall", *sizes), key=lambda row: str(row[0])
        )
    ]


def _suppliers() -> list[Entry]:
    """List the suppliers only when one has a note or sells nothing: the packs name the others."""
    # Sorted here: databases collate names differently, and grouping drops their order altogether.
    rows = sorted(Supplier.objects.annotate(sold=Count("packs")).values_list("name", "note", "sold"))
    if all(sold and not note for _, note, sold in rows):
        return []
    return [stated(("name", name, ...), ("note", note, "")) for name, note, _ in rows]
