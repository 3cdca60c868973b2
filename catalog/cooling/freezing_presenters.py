"""What to do about a rim that freezes before the core is cold, in words: where it gets cold first, and goes then."""

from django.utils.translation import gettext

from catalog.cooling.cold_first import ColdFirst
from catalog.cooling.figures import CycleFigures
from catalog.cooling.stages import CycleStage
from catalog.cooling.words import stage_place
from catalog.web import display
from costing.chilling import FREEZES_C, NOT_MET


def freezing_advice(found: CycleFigures) -> str:
    """Write what to do about a rim that freezes before the core is cold, or within the stated time; else nothing.

    Nobody sets a freezer warmer: it gets cold somewhere else first. What is cold in time may freeze where it is meant
    to.
    """
    frozen = found.report.freezes or found.report.freezes_as_stated
    if frozen is None:
        return ""
    stage = found.cycle.stages[frozen.stage]
    if found.report.freezes:
        return _before_cold(found, stage, display.duration(frozen.minutes))
    return "" if _freezes_on_purpose(stage) else _after_cold(found, stage, display.duration(frozen.minutes))


def _freezes_on_purpose(stage: CycleStage) -> bool:
    return stage.step.kind == "freeze" or (stage.station is not None and stage.station.kind == "freezer")


def _before_cold(found: CycleFigures, stage: CycleStage, time: str) -> str:
    words = {
        "limit": display.temperature(found.cycle.plan.cold_c),
        "warmer": display.temperature(FREEZES_C, 1),
        "place": stage_place(stage),
        "step": stage.step,
        "time": time,
    }
    if found.first is not None:
        words |= {"first": found.first.place, "minutes": display.duration(found.first.minutes)}
    if _freezes_on_purpose(stage):
        if found.first is None:
            text = gettext(
                "Cool it in a refrigerator or a blast chiller until its core is at %(limit)s, and only then begin"
                " “%(step)s”. None is entered in which it would get that cold."
            )
            return text % words
        text = gettext(
            "Cool it in %(first)s until its core is at %(limit)s, about %(minutes)s at the slowest, and only then"
            " begin “%(step)s”."
        )
        return _with_verdict(text % words, found.first)
    if found.first is None:
        return gettext("Set the air of %(place)s to %(warmer)s or warmer, or cool it in another refrigerator.") % words
    text = gettext(
        "Set the air of %(place)s to %(warmer)s or warmer, or cool it in %(first)s instead until its core is at"
        " %(limit)s, about %(minutes)s at the slowest."
    )
    return _with_verdict(text % words, found.first)


def _with_verdict(text: str, first: ColdFirst) -> str:
    """Write what the rule says of cooling it there."""
    then = {
        "kept": gettext("That meets the rule."),
        "likely": gettext("That likely meets the rule, but not if it cools slowly: measure it."),
        NOT_MET: gettext("That alone does not meet the rule: make it shallower or smaller too, or measure it."),
    }.get(first.verdict, "")
    return f"{text} {then}".rstrip()


def _after_cold(found: CycleFigures, stage: CycleStage, time: str) -> str:
    words = {"step": stage.step, "time": time, "warmer": display.temperature(FREEZES_C, 1), "place": stage_place(stage)}
    if found.first is None:
        text = gettext(
            "End “%(step)s” within %(time)s, before the outside freezes, and keep it in a refrigerator then; or set the"
            " air of %(place)s to %(warmer)s."
        )
        return text % words
    text = gettext(
        "End “%(step)s” within %(time)s, before the outside freezes, and keep it in %(first)s then; or set the air of"
        " %(place)s to %(warmer)s."
    )
    return text % (words | {"first": found.first.place})
