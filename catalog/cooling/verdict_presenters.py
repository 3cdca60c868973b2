"""The result of the cooling page in words: how long, which time is longer, and whether the food-safety rule is met."""

from dataclasses import dataclass, replace
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.batches import vessels_short
from catalog.cooling.figures import CycleFigures
from catalog.cooling.freezing_presenters import freezing_advice
from catalog.cooling.missing_presenters import note_sentence
from catalog.cooling.words import (
    BEYOND,
    VERDICTS,
    fast_time,
    legs_outcome,
    length,
    likely_time,
    slow_end,
    slow_time,
    stage_place,
    thick_words,
)
from catalog.web import display
from costing.chilling import NOT_MET, Doubt, LegRange, Verdict, ruling_clock

#: verdict -> the note's class, what it says after the verdict
_VERDICTS: dict[Verdict, tuple[str, str]] = {
    "kept": ("good", marked("Even if it cools slowly. Check it with a probe anyway.")),
    "likely": ("mind", marked("Measure it with a calibrated probe at the warmest point.")),
    NOT_MET: ("stop", marked("What would meet it is listed below.")),
    "untimed": ("", marked("The limits of the US Food Code are shown below, for comparison only.")),
    "freezes": ("stop", marked("The estimate ends there, so the rule cannot be judged.")),
}
#: What a cooling that meets its rule is called beside something of the same thing that is open.
BY_ITSELF: Final = marked("By itself this cooling meets the rule; not all is settled.")


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
    met: bool


def answer_shown(found: CycleFigures) -> Answer:
    """Write a report's result in words."""
    cycle, report = found.cycle, found.report
    clock, minutes = ruling_clock(cycle.stated, report.cold.slow)
    stated = display.duration(cycle.stated)
    slow = slow_end(report.cold.slow, report.doubt, 0.0 if report.freezes else None)
    note, more = _VERDICTS[report.verdict]
    more, verdict = gettext(more), gettext(VERDICTS[report.verdict])
    if report.doubt:
        more = f"{_doubt(report.doubt)} {more}"
    odd = {reason.code for reason in cycle.notes}
    if note == "good" and "over_the_rim" in odd:
        note, more = "mind", gettext("It stands over the rim of its mold: see below. %(more)s") % {"more": more}
    if note == "good" and "height_differs" in odd:
        note, verdict = "mind", gettext("Meets the rule at the greater of the two heights.")
        more = gettext("The height entered does not agree with the amounts: see below. %(more)s") % {"more": more}
    short = vessels_short(cycle)
    if short is not None:
        # A good answer to a batch that cannot be divided so is none.
        words = {"verdict": verdict, "more": more}
        if report.verdict == "kept":
            text = gettext("Only in as many vessels as it needs would it be cold in time. %(more)s")
        else:
            text = gettext("%(verdict)s That is with as many vessels as it needs. %(more)s")
        note, more = "stop", text % words
        verdict = note_sentence(short)
    rules = "none" if report.freezes else clock
    plan = _plan(found, clock, stated, slow, endless=minutes is None)
    return Answer(_how_long(found), plan, rules, stated, slow, note, verdict, more, freezing_advice(found))


def beside_open(answer: Answer) -> Answer:
    """Return an answer that is not good news by itself, because something else of the same thing is open."""
    if answer.note != "good":
        return answer
    return replace(answer, note="mind", verdict=gettext(BY_ITSELF))


def _plan(found: CycleFigures, clock: str, stated: str, slow: str, *, endless: bool) -> str:
    """Write which time to plan: the one its steps state, or that of cooling."""
    report, words = found.report, {"stated": stated, "slow": slow}
    if report.doubt:
        return gettext("No time can be planned for it: see below.")
    if report.freezes:
        return gettext("Your steps state %(stated)s; the cooling time cannot be estimated.") % words
    if report.cold.slow == 0:
        return gettext("Plan the %(stated)s your steps state. It is cold from the start.") % words
    if clock == "stated":
        return gettext("Plan the %(stated)s your steps state: cooling takes %(slow)s at the slowest.") % words
    if endless:
        return gettext("No time is long enough at the slowest: %(why)s") % {"why": _colder(found)}
    if found.cycle.stated:
        return gettext("Plan %(slow)s for cooling: your steps state only %(stated)s.") % words
    return gettext("Plan %(slow)s for cooling: your steps state no time.") % words


def _doubt(doubt: Doubt) -> str:
    return gettext(
        "Even its shortest side is %(side)s. The estimate was compared with measurements up to %(most)s; thicker"
        " fillings took %(longer)s as long. Divide it over more or shallower vessels, or stir it in an ice bath."
    ) % {"side": length(doubt.thinnest_mm), "most": length(doubt.most_mm), "longer": thick_words()}


def _how_long(found: CycleFigures) -> str:
    cycle, frozen, cold = found.cycle, found.report.freezes, found.report.cold
    limit, last = display.temperature(cycle.plan.cold_c), cycle.stages[-1]
    if frozen:
        stage = cycle.stages[frozen.stage]
        return gettext(
            "the outside freezes %(time)s into “%(step)s” in air at %(air)s, before the core is at %(limit)s."
        ) % {
            "time": display.duration(frozen.minutes),
            "step": stage.step,
            "air": display.temperature(stage.air_c, 1),
            "limit": limit,
        }
    if cold.likely == 0:
        return gettext("the core is at %(limit)s or colder from the start.") % {"limit": limit}
    words = {
        "limit": limit,
        "place": stage_place(last),
        "air": display.temperature(last.air_c, 1),
        "fast": fast_time(cold.fast),
        "likely": likely_time(cold.likely),
        "slow": slow_time(cold.slow),
    }
    if cold.likely is None and cold.fast is None:
        text = gettext("the core is not likely to get to %(limit)s in %(place)s at %(air)s.")
    elif cold.likely is None:
        text = gettext(
            "the core is not likely to get to %(limit)s in %(place)s at %(air)s; at the fastest it does after %(fast)s."
        )
    elif found.report.doubt:
        text = gettext(
            "the core is at %(limit)s after about %(likely)s (%(fast)s at the fastest; the longest time is not known)."
        )
    else:
        text = gettext(
            "the core is at %(limit)s after about %(likely)s (%(fast)s at the fastest, %(slow)s at the slowest)."
        )
    return text % words


def _colder(found: CycleFigures) -> str:
    """Write why it is never cold at the slow end: it leaves the cold too soon, or the air is not cold enough."""
    early = next((note for note in found.cycle.notes if note.code == "judged_as_stated"), None)
    if early is not None:
        words = {"step": early.params["step"], "time": display.duration(float(str(early.params["minutes"])))}
        text = gettext(
            "“%(step)s” ends after %(time)s, before it is cold, and then it stands in the room. Leave it there until it"
            " is cold."
        )
        return text % words
    last = found.cycle.stages[-1]
    return gettext("the air (%(place)s, %(air)s) is too near %(limit)s. Set it colder, or use another place.") % {
        "place": stage_place(last),
        "air": display.temperature(last.air_c, 1),
        "limit": display.temperature(found.cycle.plan.cold_c),
    }


def legs_shown(found: CycleFigures) -> tuple[LegShown, ...]:
    """Write the legs of a rule in words."""
    return tuple(_leg_shown(each, found, beyond=found.ends is not None) for each in found.legs)


def _leg_shown(each: LegRange, found: CycleFigures, *, beyond: bool) -> LegShown:
    leg = each.leg
    begins = gettext("the start") if leg.from_c is None else display.temperature(leg.from_c)
    if beyond:
        times = gettext(BEYOND), gettext(BEYOND)
        return LegShown(begins, leg.to_c, leg.minutes, *times, gettext("not known"), met=False)
    likely, slow = likely_time(each.likely.minutes), slow_end(each.slow.minutes, found.report.doubt)
    met = each.likely.met and each.slow.met
    return LegShown(begins, leg.to_c, leg.minutes, likely, slow, legs_outcome([each]), met)
