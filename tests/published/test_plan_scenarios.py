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


def test_a_list_of_scenarios_is_answered_one_by_one() -> None:
    document = json.dumps({"conventions": [], "scenarios": SCENARIOS})
    assert [one["id"] for one in scenario_answers([("all", document)])] == [one["id"] for one in SCENARIOS]
