"""Steps in the Book's JSON, and the labor and station time that follow from them."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any, Final

#: Columns of a recipe's step in the order :func:`step_written` takes them.
STEP_COLUMNS: Final = (
    "name",
    "kind",
    "role__code",
    "hands_fixed",
    "hands_each",
    "station__code",
    "minutes",
    "temperature_c",
    "wait_min",
    "hold_max",
    "text",
)
#: A product's step says besides how warm its middle is when it ends.
PRODUCT_STEP_COLUMNS: Final = (*STEP_COLUMNS, "leaves_c")
#: What a plain stay in a station is called when nobody has said.
KIND_AT: Final[Mapping[str, str]] = {"oven": "bake", "refrigerator": "chill", "freezer": "freeze", "rack": "rest"}
#: How a role's minutes are called in the Book: fixed, then each.
RECIPE_MINUTES: Final = ("per_batch", "per_kg")
PRODUCT_MINUTES: Final = ("per_load", "per_unit")

Entry = dict[str, Any]

_KEYS: Final = tuple(column.partition("__")[0] for column in PRODUCT_STEP_COLUMNS)
_HANDS: Final = ("hands_fixed", "hands_each")


def decimal_text(number: Decimal) -> str:
    """Write an exact decimal without an exponent, its digits kept."""
    return format(number, "f")


def step_written(row: Iterable[Any]) -> Entry:
    """Write one step, of a recipe or of a product, as the Book's JSON, leaving out what is empty."""
    written: Entry = {}
    for key, value in zip(_KEYS, row, strict=False):
        if value:
            written[key] = decimal_text(value) if isinstance(value, Decimal) else value
        elif value == 0 and key not in _HANDS:
            # Zero degrees, or no wait at all, is said; no hands are left out.
            written[key] = decimal_text(value)
    return written


def labor_of(steps: Iterable[Entry], minutes: tuple[str, str]) -> list[Entry]:
    """Return the labor entries that steps imply, in their order: one for each step with a role."""
    entries = []
    for step in steps:
        if "role" in step:
            fixed, each = step.get("hands_fixed"), step.get("hands_each")
            entries.append({"role": step["role"]} | _given(((minutes[0], fixed), (minutes[1], each))))
    return entries


def station_time_of(steps: Iterable[Entry]) -> list[Entry]:
    """Return the station time that a product's steps imply: one entry for each step with a station."""
    return [
        {"station": step["station"], "minutes_per_load": step.get("minutes", "0")}
        for step in steps
        if "station" in step
    ]


def plain_steps(
    labor: Iterable[Entry], minutes: tuple[str, str], times: Iterable[Entry] = (), kinds: Mapping[str, str] = KIND_AT
) -> list[Entry]:
    """Return the steps that labor and station time stand for when nothing more is known.

    ``kinds`` gives the kind of each station by its code.
    """
    fixed, each = minutes
    steps: list[Entry] = [
        {"kind": "work", "role": entry["role"]}
        | _given((("hands_fixed", entry.get(fixed)), ("hands_each", entry.get(each))))
        for entry in labor
    ]
    for entry in times:
        kind = KIND_AT.get(kinds.get(entry["station"], ""), "work")
        steps.append({"kind": kind, "station": entry["station"], "minutes": entry["minutes_per_load"]})
    return steps


def _given(pairs: Iterable[tuple[str, str | None]]) -> Entry:
    return {key: value for key, value in pairs if value is not None and Decimal(value)}
