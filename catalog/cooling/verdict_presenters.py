"""The result of the cooling page in words: how long, which time is longer, and whether the food-safety rule is met."""

from dataclasses import dataclass

from catalog.cooling.batches import vessels_short
from catalog.cooling.figures import CycleFigures
from catalog.cooling.missing_presenters import note_sentence
from catalog.cooling.words import (
    NOT_KNOWN,
    VERDICTS,
    fast_time,
    legs_outcome,
    length,
    likely_time,
    slow_end,
    slow_time,
    stage_place,
)
from catalog.web import display
from costing.chilling import FREEZES_C, THICK, Doubt, LegRange, Verdict, ruling_clock

#: verdict -> the note's class, what it says after the verdict
_VERDICTS: dict[Verdict, tuple[str, str]] = {
    "kept": ("good", "Also at the slow end of the estimate. Check it with a probe all the same."),
    "likely": ("mind", "Measure it: a calibrated probe at the warmest point says which it is."),
    "not kept": ("stop", "What would keep it is worked out further down."),
    "untimed": ("", "The limits of the US Food Code are worked out further down, for comparison only."),
    "freezes": ("stop", "The estimate ends there, so the rule cannot be judged."),
}


@dataclass(frozen=True, slots=True)
class Answer:
    """The page's first sentences: how long, which time is longer, and the verdict with the CSS class of its note."""

    how_long: str
    clock: str
    ruling: str
    stated: str
    slow: str
    note: str
    verdict: str
    more: str
    advice: str


@dataclass(frozen=True, slots=True)
class LegShown:
    """A leg of a rule as the table shows it."""

    begins: str
    to_c: float
    within: float
    likely: str
    slow: str
    outcome: str


def answer_shown(found: CycleFigures) -> Answer:
    """Write a report's result in words."""
    cycle, report = found.cycle, found.report
    clock, minutes = ruling_clock(cycle.stated, report.cold.slow)
    stated = display.duration(cycle.stated)
    slow = slow_end(report.cold.slow, report.doubt, 0.0 if report.freezes else None)
    (note, more), verdict = _VERDICTS[report.verdict], VERDICTS[report.verdict]
    if report.doubt:
        more = f"{_doubt(report.doubt)} {more}"
        words = "No time can be planned for it: see below."
    elif report.freezes:
        words = f"Your stated {stated} is all there is: no time can be set beside it."
    elif report.cold.slow == 0:
        words = f"Your stated {stated} rules. It is cold from the start."
    elif clock == "stated":
        words = f"Your stated {stated} rules. Cooling asks for {slow} at the slow end."
    elif minutes is None:
        words = f"The cooling rules, and at its slow end no time is long enough: {_colder(found)}"
    else:
        words = f"The cooling rules: plan {slow}. Your steps state {stated if cycle.stated else 'no time'}."
    if note == "good" and any(reason.code == "height_differs" for reason in cycle.notes):
        note, verdict = "mind", "Keeps the rule at the higher of both heights."
        more = f"The height entered is not that of the amounts: see below. {more}"
    short = vessels_short(cycle)
    if short is not None:
        # A good answer to a batch that cannot be divided so is none.
        note, more = "stop", f"{verdict} That is for as many vessels as it needs. {more}"
        verdict = note_sentence(short)
    rules = "none" if report.freezes else clock
    return Answer(_how_long(found), words, rules, stated, slow, note, verdict, more, _advice(found))


def _doubt(doubt: Doubt) -> str:
    return (
        f"Even its shortest side is {length(doubt.thinnest_mm)}. The estimate was compared with measurements up"
        f" to {length(doubt.most_mm)}; thicker fillings took {THICK} as long. Divide it over more or shallower"
        " vessels, or stir it in an ice bath."
    )


def _how_long(found: CycleFigures) -> str:
    cycle, frozen, cold = found.cycle, found.report.freezes, found.report.cold
    limit, last = display.temperature(cycle.plan.cold_c), cycle.stages[-1]
    if frozen:
        stage = cycle.stages[frozen.stage]
        return (
            f"its rim freezes {display.duration(frozen.minutes)} into “{stage.step}” in air of "
            f"{display.temperature(stage.air_c, 1)}, before its middle is at {limit}."
        )
    if cold.likely == 0:
        return f"its middle is at {limit} or colder from the start."
    if cold.likely is None:
        fast = "" if cold.fast is None else f", at the fast end after {fast_time(cold.fast)}"
        air = display.temperature(last.air_c, 1)
        return f"its middle does not get to {limit} in {stage_place(last)} at {air} by the likeliest figures{fast}."
    ends = f"{fast_time(cold.fast)} at the fast end to {slow_time(cold.slow)} at the slow end"
    if found.report.doubt:
        ends = f"{fast_time(cold.fast)} at the fast end, the slow end is {NOT_KNOWN}"
    elif cold.slow is None:
        ends = f"{fast_time(cold.fast)} at the fast end, {slow_time(None)} at the slow end"
    return f"{likely_time(cold.likely)} until its middle is at {limit}, likely; {ends}."


def _colder(found: CycleFigures) -> str:
    last = found.cycle.stages[-1]
    air, limit = display.temperature(last.air_c, 1), display.temperature(found.cycle.plan.cold_c)
    return f"{stage_place(last)} at {air} is too near {limit}. Set its air colder, or use another place."


def _advice(found: CycleFigures) -> str:
    """Write what to do about a rim that freezes before the middle is cold, or within the stated time."""
    frozen = found.report.freezes or found.report.freezes_as_stated
    if frozen is None:
        return ""
    stage = found.cycle.stages[frozen.stage]
    warmer = display.temperature(FREEZES_C, 1)
    after = display.duration(frozen.minutes)
    if found.report.freezes:
        place = stage_place(stage)
        return f"Set the air of {place} to {warmer} or warmer, or take it out of “{stage.step}” within {after}."
    return f"Take it out of “{stage.step}” within {after}: later its rim freezes. Air of {warmer} or warmer does not."


def legs_shown(found: CycleFigures) -> tuple[LegShown, ...]:
    """Write the legs of a rule in words."""
    return tuple(_leg_shown(each, found, beyond=found.ends is not None) for each in found.legs)


def _leg_shown(each: LegRange, found: CycleFigures, *, beyond: bool) -> LegShown:
    leg = each.leg
    begins = "the start" if leg.from_c is None else display.temperature(leg.from_c)
    if beyond:
        return LegShown(begins, leg.to_c, leg.minutes, "beyond the estimate", "beyond the estimate", "cannot be said")
    likely, slow = likely_time(each.likely.minutes), slow_end(each.slow.minutes, found.report.doubt)
    return LegShown(begins, leg.to_c, leg.minutes, likely, slow, legs_outcome([each]))
