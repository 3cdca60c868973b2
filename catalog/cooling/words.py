"""How the cooling page writes lengths, times that may never be reached, and degrees for a column."""

from collections.abc import Sequence
from math import ceil, floor
from typing import Final

from babel.numbers import format_decimal
from django.utils.translation import gettext_noop as marked

from catalog.cooling.stages import CycleStage
from catalog.web import display
from costing.chilling import ICE_BATH, LONGEST_MIN, Block, Body, Doubt, LegRange, Slab, Trial, Verdict

#: A time that is longer than anything is followed; of what is thicker than was measured nobody knows it.
NEVER: Final = f"not within {LONGEST_MIN / 1440:.0f} days"
NOT_KNOWN: Final = "not known"
#: A time after what the estimate holds for, because something freezes first.
BEYOND: Final = "beyond the estimate"

#: Names of `costing.chilling.composition.COMPONENTS` where the code is not a word for people.
COMPONENTS = {"carb": marked("carbohydrate"), "fibre": marked("fiber")}

#: How the air of a stage moves, by `costing.chilling.AIRS`.
AIR_MOVEMENTS = {
    "room": "room air",
    "still": "still",
    "fan": "moved by a fan",
    "blast": "blast, strongly moved",
    ICE_BATH: "ice water, up to the food's level",
}


#: Verdict of the rule in force -> a sentence of it that pages and sheets begin with.
VERDICTS: Final[dict[Verdict, str]] = {
    "kept": "Keeps the rule.",
    "likely": "Keeps the rule as likely, but not at the slow end.",
    "not kept": "Does not keep the rule.",
    "untimed": "The rule states no times.",
    "freezes": "Its rim freezes before its middle is cold.",
}


def legs_outcome(legs: Sequence[LegRange]) -> str:
    """Write whether legs of a rule are kept, over the range."""
    if not all(leg.likely.met for leg in legs):
        return "not kept"
    return "kept" if all(leg.slow.met for leg in legs) else "likely, not at the slow end"


def stage_place(stage: CycleStage) -> str:
    """Write where a stage stands."""
    if stage.air_movement == ICE_BATH:
        return "an ice bath"
    return str(stage.station) if stage.station else "the kitchen"


def length(mm: float) -> str:
    """Write a length in the kitchen's unit; what is thinner than a tenth of it is not nothing."""
    least = (25.4 if display.length_unit() == "in" else 10) / 10
    return f"less than {display.length(least / 10)}" if 0 < mm < least / 2 else display.length(mm / 10)


def length_at_most(mm: float) -> str:
    """Write a length that must not be passed, rounded down to a tenth of the kitchen's unit."""
    unit = display.length_unit()
    return f"{display.plain(_down(mm / (25.4 if unit == 'in' else 10)), 1)} {unit}"


def _down(value: float) -> float:
    # A size that is a whole tenth apart from rounding errors stays that tenth.
    return floor(value * 10 + 1e-6) / 10


def shape(body: Body) -> str:
    """Write a shape with its measures: round, 25 cm across, 5 cm high."""
    high = f"{length(body.height_mm)} high"
    if isinstance(body, Slab):
        return f"sheet, {high}"
    if isinstance(body, Block):
        return f"rectangular, {length(body.length_mm)} by {length(body.width_mm)}, {high}"
    return f"round, {length(body.diameter_mm)} across, {high}"


def likely_time(minutes: float | None, ends: float | None = None) -> str:
    """Write when a temperature is reached, to the minute; after ``ends`` the estimate is not valid."""
    return _time(minutes, None if minutes is None else round(minutes), ends)


def fast_time(minutes: float | None, ends: float | None = None) -> str:
    """Write a time at the fast end, rounded down to whole minutes."""
    return _time(minutes, None if minutes is None else floor(minutes), ends)


def slow_time(minutes: float | None, ends: float | None = None) -> str:
    """Write a time at the slow end, rounded up to whole minutes, as an order's timing does."""
    return _time(minutes, None if minutes is None else ceil(minutes), ends)


def _time(exact: float | None, whole: int | None, ends: float | None) -> str:
    if ends is not None and (exact is None or exact > ends):
        return BEYOND
    if exact is None or whole is None:
        return NEVER
    if exact <= 0:
        return "from the start"
    return display.duration(whole) if whole else "less than a minute"


def slow_end(minutes: float | None, doubt: Doubt | None, ends: float | None = None) -> str:
    """Write a time at the slow end; of what is thicker than was measured that it is not known."""
    return NOT_KNOWN if doubt is not None else slow_time(minutes, ends)


def cold_words(found: Trial) -> str:
    """Write when the middle of something is cold, likely and at the slow end, as a part of a sentence."""
    limit = display.temperature(found.plan.cold_c)
    if found.cold_likely is None:
        return f"{limit} {NEVER}"
    if found.cold_likely <= 0:
        return f"{limit} or colder from the start"
    likely = f"{limit} after {likely_time(found.cold_likely)}"
    if found.doubt is not None:
        return f"{likely}, likely; thicker than was measured, so the slow end is {NOT_KNOWN}"
    if found.cold_slow is None:
        return f"{likely}, likely; at the slow end {NEVER}"
    return f"{likely}, likely; at the slow end after {slow_time(found.cold_slow)}"


def degrees(celsius: float, shape: str = "0.0") -> str:
    """Write a temperature to a tenth for a column whose head carries the unit."""
    display_settings = display.current()
    exact = celsius if display_settings.degrees == "C" else celsius * 9 / 5 + 32
    return str(format_decimal(display.rounded(exact, 1), format=shape, locale=display_settings.locale)).replace(
        "-", "−"
    )


def degrees_entered(celsius: float) -> str:
    """Write a temperature somebody entered, without needless decimals, for such a column."""
    return degrees(celsius, "0.#")
