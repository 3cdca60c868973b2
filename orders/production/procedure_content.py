"""The kitchen's written procedure for time out of the cold: its sentences, for the page and the PDF."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from catalog.cooling.missing_presenters import missing_sentence
from catalog.cooling.selectors import ColdTime
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.words import stage_place
from catalog.kitchen.duty_presenters import DutyShown, records_shown
from catalog.kitchen.models import Kitchen
from catalog.kitchen.presenters import clause_source
from catalog.web import display
from costing.chilling import AMBIENT, COLD_C, NOT_MET, Profile, TimeOutClause
from orders.production.procedure import Procedure, ProcedureFood

#: Verdict of a cooling -> what the procedure says of it; the others need no word.
_VERDICTS: Final = {
    NOT_MET: "By the estimate it does not keep the rule: it is not sold under this procedure until it is measured.",
    "likely": "By the estimate it keeps the rule as likely, not at the slow end: measure it each time.",
    "freezes": "By the estimate its rim freezes before its middle is cold: measure it.",
    "untimed": "The rule states no minutes: cool it as fast as you can, and write down how long it took.",
}


@dataclass(frozen=True, slots=True)
class FoodWritten:
    """A food in the procedure: how it is cooled, what is to be minded about that, and how long it may be out."""

    name: str
    cooling: tuple[str, ...]
    mind: tuple[str, ...]
    out: str


@dataclass(frozen=True, slots=True)
class ProcedureContent:
    """The procedure in words."""

    title: str
    asked: tuple[DutyShown, ...]
    foods: tuple[FoodWritten, ...]
    not_covered: tuple[str, ...]
    ways: tuple[str, ...]
    cooling_rules: tuple[str, ...]
    checks: str
    cautions: tuple[str, ...]


def procedure_content(found: Procedure) -> ProcedureContent:
    """Write the procedure."""
    by_time = found.kitchen.food_safety == Kitchen.FoodSafety.US
    title = "Time as a public health control" if by_time else "Cooling and time out of the cold"
    return ProcedureContent(
        title=f"{title}: written procedure",
        asked=records_shown(found.kitchen.food_safety),
        foods=tuple(map(_food, found.foods)),
        not_covered=tuple(_not_covered(found)),
        ways=tuple(_ways(found.rule)),
        cooling_rules=tuple(_cooling_rules(found)),
        checks=found.kitchen.checks_note,
        cautions=tuple(_cautions(by_time=by_time)),
    )


def _food(food: ProcedureFood) -> FoodWritten:
    return FoodWritten(
        name=food.name,
        cooling=tuple(map(_cycle, food.cycles)),
        mind=tuple(dict.fromkeys(filter(None, map(_mind, food.cold.times)))),
        out=_out(food),
    )


def _cycle(cycle: CoolingCycle) -> str:
    stages = "; ".join(
        f"“{stage.step}” in {stage_place(stage)} at {display.temperature(stage.air_c)}, "
        f"{display.duration(stage.minutes)}"
        for stage in cycle.stages
    )
    by = " By the rule for food made from ingredients at room temperature." if cycle.plan.rule.code == AMBIENT else ""
    return f"Leaves “{cycle.after}” at {display.temperature(cycle.plan.initial_c)}; then {stages}.{by}"


def _mind(time: ColdTime) -> str:
    if time.never:
        return f"By the estimate it never gets to {display.temperature(time.limit_c)} there: mend that first."
    return _VERDICTS.get(time.verdict, "")


def _out(food: ProcedureFood) -> str:
    out = food.cold.out
    if out is None:
        return "no limit: the air it goes into is cold itself"
    if out.clause is None:
        return "kept cold until it is served"
    return f"{'less than' if out.under else 'at most'} {display.duration(out.allowed_minutes)}"


def _not_covered(found: Procedure) -> Iterator[str]:
    for name, missing in found.missing:
        yield f"{name}: its cooling is not worked out. {missing_sentence(missing)}"
    if found.others:
        yield (
            f"{display.joined(found.others)}: no step says how warm it leaves. Whether it needs the cold is for the "
            "kitchen to say; it is not held by this procedure."
        )


def _ways(rule: Profile) -> Iterator[str]:
    """Write what is done with food that leaves the cold, step by step."""
    cold = f"{display.temperature(COLD_C if rule.cold_c is None else rule.cold_c)} or colder"
    if rule.cold_c is None:
        cold = f"{cold}, as the kitchen takes it: the rule states no temperature"
    yield f"Before it leaves the cold, the middle of a piece is measured: {cold}. What is warmer stays in the cold."
    whole = min((one for one in rule.times_out if one.warmest_c is None), key=lambda one: one.minutes, default=None)
    if whole is None:
        yield "It is kept cold until it is served: the rule states no time out of the cold, and no limit was entered."
        return
    yield from _timed(whole)
    for clause in rule.times_out:
        if clause.warmest_c is not None and whole.kind != "house":
            yield _watched(clause)
    yield "What is not marked, or is past its mark, is thrown away."


def _timed(clause: TimeOutClause) -> Iterator[str]:
    most = display.duration(clause.minutes)
    yield (
        f"Each box or tray is marked when it leaves the cold: the time it left, and the time {most} later, by when it "
        "is eaten or thrown away."
    )
    limit = f"in less than {most}" if clause.under else f"within {most}"
    yield (
        f"It is eaten or thrown away {limit} of leaving the cold: on the way, setting up and on the table together. "
        f"{clause_source(clause)}"
    )
    if clause.back_minutes is None:
        yield "What was out does not go back into the cold to be served later."
    else:
        back = display.duration(clause.back_minutes)
        yield (
            f"It may go back into the cold within less than {back} out of it; all times out are added up and written "
            "down."
        )


def _watched(clause: TimeOutClause) -> str:
    most, warmest = display.duration(clause.minutes), display.temperature(clause.warmest_c)
    return (
        f"Up to {most} only for food that is watched with a probe and never gets above {warmest}: it is marked with "
        f"the time it left and the time {most} later, and thrown away when either is passed. {clause_source(clause)}"
    )


def _cooling_rules(found: Procedure) -> Iterator[str]:
    rules = {cycle.plan.rule.code: cycle.plan.rule for food in found.foods for cycle in food.cycles}
    for rule in rules.values() or [found.rule]:
        yield f"{rule.title}. {rule.source}."


def _cautions(*, by_time: bool) -> Iterator[str]:
    if by_time:
        yield (
            "States and counties adopt the Food Code in editions and with changes of their own; Washington’s text of "
            "2009 has the 4 hours only. The authority decides whether time may be used, and whether this procedure "
            "is enough: ask it before you begin."
        )
    else:
        yield "The local authority decides what has to be in writing, and whether this is enough: ask it."
    yield (
        "Cooling times and verdicts are estimates from shape and composition. A calibrated probe at the warmest "
        "point has the last word."
    )
    yield "The list follows the catalog on the day it is printed: print it again when a product or a step changes."
