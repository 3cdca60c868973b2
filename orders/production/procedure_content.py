"""The kitchen's written procedure for time out of the cold: its sentences, for the page and the PDF."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from catalog.cooling.missing_presenters import missing_sentence
from catalog.kitchen.duty_presenters import DutyShown, records_shown
from catalog.kitchen.models import Kitchen
from catalog.kitchen.presenters import clause_source
from catalog.web import display
from costing.chilling import COLD_C, COOKED, Profile, TimeOutClause, due_times
from orders.cooling_log.presenters import SECOND_TRY
from orders.production.procedure import Procedure
from orders.production.procedure_foods_content import (
    BatchWritten,
    FoodWritten,
    batch_written,
    food_written,
    stand_sentence,
    warm_sentence,
)

_OTHER_SECOND_TRY: Final = (
    "It is discarded, unless your authority accepts that it is reheated and cooled once more: ask before you need it."
)


@dataclass(frozen=True, slots=True)
class ProcedureContent:
    """The procedure in words."""

    title: str
    asked: tuple[DutyShown, ...]
    foods: tuple[FoodWritten, ...]
    batches: tuple[BatchWritten, ...]
    stands: tuple[str, ...]
    unanswered: tuple[str, ...]
    not_covered: tuple[str, ...]
    ways: tuple[str, ...]
    cooling_rules: tuple[str, ...]
    measured: tuple[str, ...]
    failed: tuple[str, ...]
    limits: tuple[str, ...]
    checks: str
    cautions: tuple[str, ...]


def procedure_content(found: Procedure) -> ProcedureContent:
    """Write the procedure."""
    by_time = found.kitchen.food_safety == Kitchen.FoodSafety.US
    title = "Time as a public health control" if by_time else "Cooling and time out of the cold"
    return ProcedureContent(
        title=f"{title}: written procedure",
        asked=records_shown(found.kitchen.food_safety),
        foods=tuple(map(food_written, found.foods)),
        batches=tuple(map(batch_written, found.batches)),
        stands=tuple(_stands(found)),
        unanswered=tuple(_unanswered(found)),
        not_covered=tuple(_not_covered(found)),
        ways=tuple(_ways(found.rule)),
        cooling_rules=tuple(_cooling_rules(found)),
        measured=tuple(_measured(found.rule)),
        failed=tuple(_failed(found.rule, by_time=by_time)),
        limits=tuple(display.temperature(limit_c) for limit_c, _ in due_times(found.rule.legs)),
        checks=found.kitchen.checks_note,
        cautions=tuple(_cautions(by_time=by_time)),
    )


def _stands(found: Procedure) -> Iterator[str]:
    for warm in found.warm:
        yield warm_sentence(warm)
    for stand in found.stands:
        yield stand_sentence(stand, found.rule.most_out)


def _not_covered(found: Procedure) -> Iterator[str]:
    ticked = [one.name for one in found.stable if not one.source]
    if ticked:
        yield f"{display.joined(ticked)}: marked in the catalog as safe at room temperature."
    for one in found.stable:
        if one.source:
            yield f"{one.name}: safe at room temperature by this source: {one.source.rstrip('.')}."
    if found.others:
        yield (
            f"{display.joined(found.others)}: no step says how warm it leaves, and no text that it is held cold. "
            "Whether it needs the cold is for the kitchen to say; it is not held by this procedure."
        )


def _unanswered(found: Procedure) -> Iterator[str]:
    """Write what is not answered, a line for each food and hot step."""
    for one in found.unanswered:
        if one.step is not None:
            yield f"{one.name}, “{one.step}”: how warm it leaves, and how it gets cold from there, is not stated."
        elif one.missing is not None:
            yield f"{one.name}: its cooling is not worked out. {missing_sentence(one.missing)}"
        else:
            yield f"{one.name}: it holds {display.joined(one.holds)}, and nothing states how it is kept cold."


def _measured(rule: Profile) -> Iterator[str]:
    """Write what is measured of what cools, when, and what is written down."""
    yield (
        "A clean, calibrated probe is put into the middle of the warmest piece, or of the deepest vessel. It is "
        "cleaned before each food."
    )
    yield "When cooling begins, the time and the temperature are written in the record."
    due = due_times(rule.legs)
    for limit_c, minutes in due:
        yield (
            f"{display.duration(minutes)} after cooling began, at the latest, it is measured again: "
            f"{display.temperature(limit_c)} or colder."
        )
    if not due:
        yield "It is measured again until it is cold, and how long that took is written down: no minutes are stated."
    if rule.code == COOKED:
        yield "Food that follows the rule for ingredients at room temperature has its own limit in its line."


def _failed(rule: Profile, *, by_time: bool) -> Iterator[str]:
    """Write what is done when a limit is not kept."""
    yield (
        "Whoever finds a limit missed sets the food apart, marks it “do not use”, says so to the person in charge, and "
        "writes in the record what was done."
    )
    due = due_times(rule.legs)
    for at, (limit_c, minutes) in enumerate(due):
        late = f"Not at {display.temperature(limit_c)} within {display.duration(minutes)}: "
        if at == len(due) - 1:
            yield f"{late}it is discarded."
        else:
            yield f"{late}{SECOND_TRY if by_time else _OTHER_SECOND_TRY}"
    if not due:
        yield f"Not cold in the time its line states: {_OTHER_SECOND_TRY[:1].lower()}{_OTHER_SECOND_TRY[1:]}"
    yield "Then the cause is found, and vessel, depth or place are changed, before the next batch."


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
    cycles = [cycle for food in found.foods for cycle in food.cycles]
    cycles += [each.cycle for batch in found.batches for each in batch.cold.times]
    rules = {cycle.plan.rule.code: cycle.plan.rule for cycle in cycles}
    for rule in rules.values() or [found.rule]:
        yield f"{rule.title}. {rule.source}."


def _cautions(*, by_time: bool) -> Iterator[str]:
    if by_time:
        yield (
            "States and counties adopt the Food Code in editions and with changes of their own; Washington’s text of "
            "2009 and Indiana’s (410 IAC 7-24-193) have the 4 hours only, and in Indiana the authority approves these "
            "procedures before they are used. The authority decides whether time may be used, and whether this "
            "procedure is enough: ask it before you begin."
        )
    else:
        yield "The local authority decides what has to be in writing, and whether this is enough: ask it."
    yield (
        "Cooling times and verdicts are estimates from shape and composition. A calibrated probe at the warmest "
        "point has the last word."
    )
    yield "The list follows the catalog on the day it is printed: print it again when a product or a step changes."
