"""How the cooling page writes lengths, times that may never be reached, and degrees for a column."""

from collections.abc import Sequence
from math import ceil, floor
from typing import Final

from babel.numbers import format_decimal
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.stages import CycleStage
from catalog.web import display
from costing.chilling import (
    ICE_BATH,
    LONGEST_MIN,
    NOT_MET,
    THICK_LEAST,
    THICK_MOST,
    Block,
    Body,
    Doubt,
    LegRange,
    Slab,
    Trial,
    Verdict,
)

#: A time of what is thicker than was measured.
NOT_KNOWN: Final = marked("not known")
#: A time after what the estimate holds for, because something freezes first.
BEYOND: Final = marked("beyond the estimate")

#: Names of `costing.chilling.composition.COMPONENTS`.
COMPONENTS: Final = {
    "water": marked("water"),
    "protein": marked("protein"),
    "fat": marked("fat"),
    "carb": marked("carbohydrate"),
    "fibre": marked("fiber"),
    "ash": marked("ash"),
}

#: How the air of a stage moves, by `costing.chilling.AIRS`.
AIR_MOVEMENTS: Final = {
    "room": marked("room air"),
    "still": marked("still air"),
    "fan": marked("fan"),
    "blast": marked("blast chiller"),
    ICE_BATH: marked("ice water up to the level of the food"),
}


#: Verdict of the rule in force -> a sentence of it that pages and sheets begin with.
VERDICTS: Final[dict[Verdict, str]] = {
    "kept": marked("Meets the rule."),
    "likely": marked("Likely meets the rule, but not if it cools slowly."),
    NOT_MET: marked("Does not meet the rule."),
    "untimed": marked("The rule states no times."),
    "freezes": marked("The outside freezes before the core is cold."),
}


def thick_words() -> str:
    """Write how long what is thicker than was measured took, as a multiple of the estimate: 0.4 to 2.5 times."""
    return gettext("%(least)s to %(most)s times") % {
        "least": display.plain(THICK_LEAST, 1),
        "most": display.plain(THICK_MOST, 1),
    }


def never() -> str:
    """Write a time that is longer than anything is followed."""
    return gettext("not within %(days)s days") % {"days": f"{LONGEST_MIN / 1440:.0f}"}


def legs_outcome(legs: Sequence[LegRange]) -> str:
    """Write whether legs of a rule are kept, over the range."""
    if not all(leg.likely.met for leg in legs):
        return gettext("not met")
    return gettext("met") if all(leg.slow.met for leg in legs) else gettext("likely met, but not if it cools slowly")


def stage_place(stage: CycleStage) -> str:
    """Write where a stage stands."""
    if stage.air_movement == ICE_BATH:
        return gettext("an ice bath")
    return str(stage.station) if stage.station else gettext("the kitchen")


def stage_name(stage: CycleStage) -> str:
    """Write which step a stage is, or after which it waits."""
    return gettext("wait after %(step)s") % {"step": stage.step} if stage.is_wait else str(stage.step)


def length(mm: float) -> str:
    """Write a length in the kitchen's unit; what is thinner than a tenth of it is not nothing."""
    least = (25.4 if display.length_unit() == "in" else 10) / 10
    if 0 < mm < least / 2:
        return gettext("less than %(length)s") % {"length": display.length(least / 10)}
    return display.length(mm / 10)


def length_at_most(mm: float) -> str:
    """Write a length that must not be passed, rounded down to a tenth of the kitchen's unit."""
    unit = display.length_unit()
    return f"{display.plain(_down(mm / (25.4 if unit == 'in' else 10)), 1)} {unit}"


def _down(value: float) -> float:
    # A size that is a whole tenth apart from rounding errors stays that tenth.
    return floor(value * 10 + 1e-6) / 10


def shape(body: Body) -> str:
    """Write a shape with its measures: round, 25 cm across, 5 cm high."""
    high = {"height": length(body.height_mm)}
    if isinstance(body, Slab):
        return gettext("sheet, %(height)s high") % high
    if isinstance(body, Block):
        sides = {"length": length(body.length_mm), "width": length(body.width_mm)}
        return gettext("rectangular, %(length)s by %(width)s, %(height)s high") % (high | sides)
    return gettext("round, %(across)s across, %(height)s high") % (high | {"across": length(body.diameter_mm)})


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
        return gettext(BEYOND)
    if exact is None or whole is None:
        return never()
    if exact <= 0:
        return gettext("from the start")
    return display.duration(whole) if whole else gettext("less than a minute")


def slow_end(minutes: float | None, doubt: Doubt | None, ends: float | None = None) -> str:
    """Write a time at the slow end; of what is thicker than was measured that it is not known."""
    return gettext(NOT_KNOWN) if doubt is not None else slow_time(minutes, ends)


def cold_words(found: Trial) -> str:
    """Write when the middle of something is cold, likely and at the slow end, as a part of a sentence."""
    words = {
        "limit": display.temperature(found.plan.cold_c),
        "likely": likely_time(found.cold_likely),
        "slow": slow_time(found.cold_slow),
    }
    if found.cold_likely is None:
        text = gettext("%(limit)s %(likely)s")
    elif found.cold_likely <= 0:
        text = gettext("%(limit)s or colder from the start")
    elif found.doubt is not None:
        text = gettext("%(limit)s likely after %(likely)s; the longest time is not known, because it is too thick")
    elif found.cold_slow is None:
        text = gettext("%(limit)s likely after %(likely)s; at the slowest %(slow)s")
    else:
        text = gettext("%(limit)s likely after %(likely)s; after %(slow)s at the slowest")
    return text % words


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
