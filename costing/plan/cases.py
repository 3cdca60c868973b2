"""Answers the questions of scenarios, as `manage.py plan` prints them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from costing.contract.documents import read_json
from costing.contract.errors import CostingError, InputErrors, Path, pointer
from costing.plan.answers import earliest_ready, feasible, latest_start, with_window
from costing.plan.clocks import Clock
from costing.plan.explaining import HOURS, NOW, Reason
from costing.plan.problem import HANDS, Plan
from costing.plan.proofs import SureUse
from costing.plan.scenario_questions import BATCHES, EARLIEST_READY, FEASIBLE, Question, batches
from costing.plan.scenario_reading import ROOT
from costing.plan.scenarios import INQUIRY, Scenario, documents_of, read_scenario
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, Answer, Time

Written = dict[str, Any]


def scenario_answers(documents: Sequence[tuple[str, bytes | str]], *, plans: bool = False) -> list[Written]:
    """Answer the questions of scenarios.

    Parameters
    ----------
    documents : sequence of (str, bytes or str)
        Name and text of each document: one scenario, or an object with a list of `scenarios`.
    plans : bool
        Whether to add to each yes and each time the plan it rests on.

    Returns
    -------
    list of dict
        One for each scenario, in order: its id and its answers.

    Raises
    ------
    InputErrors
        Everything wrong with all scenarios; none of them is answered then. With several documents each message names
        its own.
    """
    errors: list[CostingError] = []
    read: list[Scenario] = []
    for name, text in documents:
        before = name if len(documents) > 1 else ""
        try:
            found = documents_of(read_json(text, ROOT))
        except InputErrors as wrong:
            errors += _placed(wrong, (), before)
            continue
        for path, document in found:
            try:
                read.append(read_scenario(document))
            except InputErrors as wrong:
                errors += _placed(wrong, path, before)
    if errors:
        raise InputErrors(errors)
    return [{"id": one.id, "answers": [_answered(one, question, plans) for question in one.questions]} for one in read]


def _placed(wrong: InputErrors, path: Path, name: str) -> list[CostingError]:
    """Return errors with their place in the whole document, and its name before their sentence."""
    start = pointer(ROOT, path)
    return [
        replace(
            error,
            at=start + error.at.removeprefix(f"{ROOT}#"),
            message=f"{name}: {error.message}" if name else error.message,
        )
        for error in wrong.errors
    ]


def _answered(scenario: Scenario, question: Question, plans: bool) -> Written:
    if question.ask == BATCHES:
        return {"answer": batches(question.line) if question.line is not None else []}
    problem = scenario.problem
    if question.window is not None:
        problem = with_window(problem, INQUIRY, question.window)
    if question.ask == FEASIBLE:
        return _of_answer(scenario, feasible(problem, INQUIRY, movable=question.replan), plans)
    asked = earliest_ready if question.ask == EARLIEST_READY else latest_start
    return _of_time(scenario, asked(problem, INQUIRY, movable=question.replan), plans)


def _of_answer(scenario: Scenario, answer: Answer, plans: bool) -> Written:
    if answer.verdict in (AS_PLANNED, BY_REARRANGING) and answer.plan is not None:
        return {"answer": True, **_plan(scenario, answer.plan, plans)}
    if answer.verdict != IMPOSSIBLE:
        return {"answer": None, "undecided": True}
    clock = scenario.clock
    if answer.sure_use is not None:
        return {"answer": False, "reason": sure_use_to_json(answer.sure_use, clock)}
    reasons = [reason_to_json(one, clock) for one in answer.reasons]
    if len(reasons) > 1:
        return {"answer": False, "reason": {"together": reasons}}
    return {"answer": False, **({"reason": reasons[0]} if reasons else {})}


def _of_time(scenario: Scenario, time: Time, plans: bool) -> Written:
    undecided = {} if time.exact else {"undecided": True}
    if time.minute is None or time.plan is None:
        return {"answer": None, **undecided}
    return {"answer": scenario.clock.text(time.minute), **undecided, **_plan(scenario, time.plan, plans)}


def _plan(scenario: Scenario, plan: Plan, plans: bool) -> Written:
    if not plans:
        return {}
    places = plan.by_code()
    texts = {
        code: [scenario.clock.text(minute) for minute in places[code].boundaries]
        for code in scenario.shown
        if code in places
    }
    return {"plan": texts}


def sure_use_to_json(sure: SureUse, clock: Clock) -> Written:
    """Return a sum of sure use as the command prints it.

    Parameters
    ----------
    sure : SureUse
        More needed than there is.
    clock : Clock
        The kitchen's clock.
    """
    return {
        "resource": sure.resource,
        "from": clock.text(sure.begin),
        "to": clock.text(sure.end),
        "needed_minutes": sure.needed,
        "available_minutes": sure.available,
    }


def reason_to_json(reason: Reason, clock: Clock) -> Written:
    """Return what is in the way as the command prints it.

    Parameters
    ----------
    reason : Reason
        One cause.
    clock : Clock
        The kitchen's clock.
    """
    begin, end = clock.text(reason.begin), clock.text(reason.end)
    if reason.cause == NOW:
        return {"cause": NOW, "step": reason.step, "from": begin, "to": end}
    if reason.cause == HOURS:
        return {"resource": HANDS, "cause": HOURS, "step": reason.step, "from": begin, "to": end}
    return {
        "resource": reason.cause,
        "from": begin,
        "to": end,
        "free": reason.free,
        "needed": reason.needed,
        "short": reason.needed - reason.free,
    }
