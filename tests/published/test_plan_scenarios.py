"""Eight scenarios of planning, with answers derived by hand apart from this project (see the data file's meta)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from costing.plan.cases import scenario_answers

TEXT = (Path(__file__).parent / "plan_scenarios.json").read_text(encoding="utf-8")
SCENARIOS: list[dict[str, Any]] = json.loads(TEXT)["scenarios"]


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario["id"])
def test_a_scenario_is_answered_as_it_was_derived(scenario: dict[str, Any]) -> None:
    (found,) = scenario_answers([(scenario["id"], json.dumps(scenario))])
    assert found["id"] == scenario["id"]
    assert [one["answer"] for one in found["answers"]] == [one["answer"] for one in scenario["questions"]]


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario["id"])
def test_a_no_says_what_is_in_the_way_as_it_was_derived(scenario: dict[str, Any]) -> None:
    (found,) = scenario_answers([(scenario["id"], json.dumps(scenario))])
    for answer, question in zip(found["answers"], scenario["questions"], strict=True):
        if answer["answer"] is False:
            assert answer["reason"]
        if "reason" in question:
            assert answer["reason"] == question["reason"]


def with_its_plan(scenario: dict[str, Any], answer: dict[str, Any], question: dict[str, Any]) -> dict[str, Any]:
    """Return the scenario with the plan of an answer promised: the reader then says what it breaks."""
    plan = answer["plan"]
    batches = []
    for at, batch in enumerate(scenario["enquiry"]["batches"]):
        count = batch.get("count", 1)
        names = [f"enquiry/{at}#{copy + 1}" for copy in range(count)] if count > 1 else [f"enquiry/{at}"]
        batches += [{**batch, "count": 1, "plan": plan[name]} for name in names]
    leaves = batches[0]["plan"][-1]
    confirmed = json.loads(json.dumps(scenario["confirmed"]))
    for order in confirmed:
        for at, batch in enumerate(order.get("batches", [])):
            batch["plan"] = plan[f"{order['id']}/{at}"]
    promised = {"id": "asked", "window": question.get("window", [leaves, leaves]), "batches": batches}
    return {**scenario, "confirmed": [*confirmed, promised], "questions": []}


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario["id"])
def test_the_plan_behind_a_yes_or_a_time_can_be_promised(scenario: dict[str, Any]) -> None:
    (found,) = scenario_answers([(scenario["id"], json.dumps(scenario))], plans=True)
    for answer, question in zip(found["answers"], scenario["questions"], strict=True):
        assert ("plan" in answer) is (question["ask"] != "batches" and answer["answer"] not in (False, None))
        if "plan" in answer:
            document = with_its_plan(scenario, answer, question)
            assert scenario_answers([("promised", json.dumps(document))]) == [{"id": scenario["id"], "answers": []}]


def test_a_list_of_scenarios_is_answered_one_by_one() -> None:
    document = json.dumps({"conventions": [], "scenarios": SCENARIOS})
    assert [one["id"] for one in scenario_answers([("all", document)])] == [one["id"] for one in SCENARIOS]
