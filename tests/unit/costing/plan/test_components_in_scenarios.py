"""Batches that need others: derived by hand in each test."""

from __future__ import annotations

from typing import Any

import pytest

from tests.unit.costing.plan.scenarios import EARLIEST, answer, answers, feasible, hours, latest, scenario, step

CUSTARD: dict[str, Any] = {
    "id": "custard",
    "steps": [step("cook", 30, hands=1), step("cool", 60, 240, fridge=1)],
}


def tart(code: str = "tart", hold: int = 300, needs: str = "custard") -> dict[str, Any]:
    return {
        "id": code,
        "needs": [{"batch": needs, "step": "fill"}],
        "steps": [
            step("line", 30, hands=1),
            step("bake", 60, temp=170, oven=1),
            step("fill", 20, hands=1),
            step("pack", 10, hands=1),
            step("hold", 0, hold),
        ],
    }


def custard(most: int) -> dict[str, Any]:
    return {**CUSTARD, "steps": [CUSTARD["steps"][0], step("cool", 60, most, fridge=1)]}


@pytest.mark.parametrize(
    ("hands", "ready"),
    [
        # Custard 06:00 to 06:30, cold at 07:30; lined at 06:00, baked 07:30, filled 07:50, packed 08:00.
        (2, "2026-09-07T08:00"),
        # One pair of hands: custard first, lined 06:30 to 07:00, baked 08:00, filled 08:20, packed 08:30. Lined first,
        # the custard is cold at 08:00 only, half an hour after the tart has to be filled.
        (1, "2026-09-07T08:30"),
    ],
)
def test_what_a_step_takes_is_ready_when_it_begins(hands: int, ready: str) -> None:
    shift = hours("06:00", "14:00", hands)
    assert answer(scenario("2026-09-07T06:00", [CUSTARD, tart()], [EARLIEST], hours=[shift])) == ready


@pytest.mark.parametrize(
    ("hands", "start"),
    [
        # Packed from 11:50, filled 11:30, baked 10:30, lined 10:00; custard cooked from 10:00, cold at 11:30.
        (2, "2026-09-08T10:00"),
        # One pair of hands cannot line and cook at 10:00: the custard is cooked from 09:30.
        (1, "2026-09-08T09:30"),
    ],
)
def test_the_latest_start_counts_what_is_made_for_a_step(hands: int, start: str) -> None:
    shift = hours("06:00", "14:00", hands)
    asked = [latest("2026-09-08T12:00")]
    assert answer(scenario("2026-09-07T06:00", [CUSTARD, tart()], asked, hours=[shift])) == start


@pytest.mark.parametrize(("most", "can"), [(90, False), (115, False), (120, True)])
def test_one_batch_for_two_is_not_too_old_for_the_second(most: int, can: bool) -> None:
    """The oven takes one at a time: fillings are an hour apart, so custard lasts from 60 to at least 120 minutes."""
    batches = [custard(most), tart("first"), tart("second")]
    assert answer(scenario("2026-09-07T06:00", batches, [feasible("2026-09-07T13:00")])) is can


def test_a_component_of_a_component_comes_before_it() -> None:
    """Base 06:00 to 06:20, taken at once by the custard, 06:20 to 06:50, cold 07:50: filled 08:10, packed 08:20."""
    base = {"id": "base", "steps": [step("whisk", 20, hands=1), step("stand", 0, 10)]}
    batches = [base, {**CUSTARD, "needs": [{"batch": "base", "step": "cook"}]}, tart()]
    (found,) = answers(scenario("2026-09-07T06:00", batches, [EARLIEST]), plans=True)
    assert found["answer"] == "2026-09-07T08:20"
    assert found["plan"]["base"][-1] == found["plan"]["custard"][0] == "2026-09-07T06:20"
    assert found["plan"]["custard"][-1] == found["plan"]["tart"][2] == "2026-09-07T07:50"


def promised_custard(**more: Any) -> dict[str, Any]:
    """An order whose tart is filled at 09:00 with custard that is cold since 08:00."""
    plan = ["2026-09-07T07:30", "2026-09-07T08:00", "2026-09-07T09:00", "2026-09-07T09:20", "2026-09-07T09:30"]
    first = {**tart("first"), "plan": [*plan, "2026-09-07T09:30"]}
    made = {**CUSTARD, "plan": ["2026-09-07T06:30", "2026-09-07T07:00", "2026-09-07T09:00"]}
    return {"id": "A", "window": ["2026-09-07T09:30", "2026-09-07T11:00"], "batches": [made, first], **more}


@pytest.mark.parametrize("fixed", [False, True])
def test_an_inquiry_takes_from_a_batch_that_is_planned_and_lasts(fixed: bool) -> None:
    """The promised custard lasts until 11:00 (240 minutes from 07:00); the oven is free from 09:00: filled 10:00."""
    asked = [feasible("2026-09-07T10:30", replan=False)]
    document = scenario("2026-09-07T06:00", [tart("mine")], asked, confirmed=[promised_custard(fixed=fixed)])
    (found,) = answers(document, plans=True)
    assert found["answer"] is True
    assert found["plan"]["custard"] == ["2026-09-07T06:30", "2026-09-07T07:00", "2026-09-07T10:00"]


def test_an_inquiry_cannot_take_what_is_too_old_by_then() -> None:
    """Leaving at 13:00 with a stay of half an hour at most, it is filled at 12:00 at the earliest: after 11:00."""
    asked = [feasible("2026-09-07T13:00", replan=False)]
    document = scenario("2026-09-07T06:00", [tart("mine", hold=30)], asked, confirmed=[promised_custard()])
    assert answer(document) is False
