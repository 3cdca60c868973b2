"""The answer of the cooling page in words: how long, which clock rules, and whether the food-safety rule is kept."""

from dataclasses import dataclass

from catalog.cooling.cycles import CoolingCycle
from catalog.cooling.words import fast_time, likely_time, place, slow_time
from catalog.web import display
from costing.chilling import FREEZES_C, LegRange, LegResult, Report, Verdict, ruling

#: verdict -> the note's class, the word it begins with, what it says
_VERDICTS: dict[Verdict, tuple[str, str, str]] = {
    "kept": ("good", "Keeps the rule.", "Also at the slow end of the estimate. Check it with a probe all the same."),
    "likely": (
        "mind",
        "Keeps the rule as likely, but not at the slow end.",
        "Measure it: a calibrated probe at the warmest point says which it is.",
    ),
    "not kept": ("stop", "Does not keep the rule.", "What would keep it is worked out further down."),
    "untimed": (
        "",
        "The rule states no times.",
        "The limits of the US Food Code are worked out further down, for comparison only.",
    ),
    "freezes": (
        "stop",
        "Its rim freezes before its middle is cold.",
        "The estimate ends there, so the rule cannot be judged.",
    ),
}


@dataclass(frozen=True, slots=True)
class Answer:
    """The page's first words: how long, which clock rules, and the verdict with the class of its note."""

    how_long: str
    clock: str
    ruled: str
    stated: str
    slow: str
    mark: str
    word: str
    more: str
    advice: str


@dataclass(frozen=True, slots=True)
class Leg:
    """A leg of a rule as the table shows it."""

    begins: str
    to_c: float
    within: float
    likely: str
    slow: str
    kept: str


def answer_of(run: CoolingCycle, told: Report) -> Answer:
    """Put a report's answer in words."""
    ends = 0.0 if told.freezes else None
    clock, minutes = ruling(run.stated, told.cold.slow)
    stated, slow = display.duration(run.stated), slow_time(told.cold.slow, ends)
    mark, word, more = _VERDICTS[told.verdict]
    if told.freezes:
        words = f"Your stated {stated} is all there is: no time can be set beside it."
    elif clock == "stated":
        words = f"Your stated {stated} rules. Cooling asks for {slow} at the slow end."
    elif minutes is None:
        words = f"The cooling rules, and at its slow end no time is long enough: {_colder(run)}"
    else:
        words = f"The cooling rules: plan {slow}. Your steps state {stated}."
    ruled = "none" if told.freezes else clock
    return Answer(_how_long(run, told), words, ruled, stated, slow, mark, word, more, _advice(run, told))


def _how_long(run: CoolingCycle, told: Report) -> str:
    limit, found = display.temperature(run.plan.cold_c), told.cold
    last = run.stages[-1]
    if told.freezes:
        stage = run.stages[told.freezes.stage]
        return (
            f"its rim freezes {display.duration(told.freezes.minutes)} into “{stage.step}” in air of "
            f"{display.temperature(stage.air_c, 1)}, before its middle is at {limit}."
        )
    if found.likely == 0:
        return f"its middle is at {limit} or colder from the start."
    if found.likely is None:
        fast = "" if found.fast is None else f", at the fast end after {fast_time(found.fast)}"
        air = display.temperature(last.air_c, 1)
        return f"its middle does not get to {limit} in {place(last)} at {air} by the likeliest figures{fast}."
    ends = f"{fast_time(found.fast)} at the fast end to {slow_time(found.slow)} at the slow end"
    if found.slow is None:
        ends = f"{fast_time(found.fast)} at the fast end, {slow_time(None)} at the slow end"
    return f"{likely_time(found.likely)} until its middle is at {limit}, likely; {ends}."


def _colder(run: CoolingCycle) -> str:
    last = run.stages[-1]
    air, limit = display.temperature(last.air_c, 1), display.temperature(run.plan.cold_c)
    return f"{place(last)} at {air} is too near {limit}. Set its air colder, or use another place."


def _advice(run: CoolingCycle, told: Report) -> str:
    """Say what to do about a rim that freezes, before its middle is cold or within the stated time."""
    frozen = told.freezes or told.freezes_as_stated
    if frozen is None:
        return ""
    stage = run.stages[frozen.stage]
    warmer = display.temperature(FREEZES_C, 1)
    after = display.duration(frozen.minutes)
    if told.freezes:
        return f"Set the air of {place(stage)} to {warmer} or warmer, or take it out of “{stage.step}” within {after}."
    return f"Take it out of “{stage.step}” within {after}: later its rim freezes. Air of {warmer} or warmer does not."


def leg_rows(legs: tuple[LegRange, ...], ends: float | None = None) -> tuple[Leg, ...]:
    """Put legs in words; ``ends`` is from when on the estimate says nothing."""
    return tuple(_leg(each, ends) for each in legs)


def _leg(each: LegRange, ends: float | None) -> Leg:
    leg = each.leg
    begins = "the start" if leg.from_c is None else display.temperature(leg.from_c)
    if ends is not None:
        return Leg(begins, leg.to_c, leg.minutes, "beyond the estimate", "beyond the estimate", "cannot be said")
    return Leg(begins, leg.to_c, leg.minutes, _takes(each.likely), slow_time(each.slow.minutes), _kept(each))


def _takes(result: LegResult) -> str:
    return likely_time(result.minutes)


def _kept(each: LegRange) -> str:
    if not each.likely.kept:
        return "not kept"
    return "kept" if each.slow.kept else "likely, not at the slow end"
