"""Documents with something wrong anywhere in them: errors or answers, and nothing else."""

from __future__ import annotations

import copy
import json
from random import Random
from typing import Any

import pytest

from costing.contract import CostingError, InputErrors
from costing.plan.cases import scenario_answers
from costing.plan.scenario_reading import CODES
from tests.published.test_plan_scenarios import SCENARIOS
from tests.unit.costing.plan.scenarios import EARLIEST, feasible, scenario
from tests.unit.costing.plan.test_components_in_scenarios import CUSTARD, promised_custard, tart

JUNK: list[Any] = [
    None, True, False, 0, -1, 1, 7, 2.5, 1e300, 10**30, "", "x", "hands", "oven", "Mon", "2026-09-07T06:00",
    "2026-09-07", "06:00", "24:00", "99:99", "9999-12-31T23:59", "0001-01-01T00:00", "2026-09-07T06:00+99:00",
    "２０26-09-07",
    [], {}, [[]], {"a": 1}, ["2026-09-07T06:00"], ["2026-09-07T06:00", "2026-09-07T06:00"], [None, None], "\ud800",
]  # fmt: skip
OWN = scenario(
    "2026-09-07T06:00",
    [tart("mine")],
    [dict(EARLIEST), feasible("2026-09-07T10:30")],
    confirmed=[promised_custard()],
    closed=["2026-09-09"],
)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(found for key, one in inside for found in places(one, (*path, key)))]


def spoiled(random: Random) -> Any:
    document = copy.deepcopy(random.choice([*SCENARIOS, OWN, OWN, OWN]))
    for _ in range(random.choice((1, 1, 2, 4))):
        path = random.choice([one for one in places(document) if one])
        here = document
        for key in path[:-1]:
            here = here[key]
        action = random.random()
        if action < 0.7:
            here[path[-1]] = copy.deepcopy(random.choice(JUNK))
        elif action < 0.85 and isinstance(here, dict):
            del here[path[-1]]
        elif isinstance(here, list):
            here.append(copy.deepcopy(here[path[-1]]))
        else:
            here["more"] = copy.deepcopy(random.choice(JUNK))
    return document


@pytest.mark.parametrize("seed", range(12))
def test_a_spoiled_scenario_gets_errors_or_answers(seed: int) -> None:
    random = Random(seed)
    for _ in range(25):
        document = spoiled(random)
        errors: tuple[CostingError, ...] = ()
        try:
            scenario_answers([("it", json.dumps(document))])
        except InputErrors as found:
            errors = found.errors
        assert {error.code for error in errors} <= CODES
        assert all(error.at.startswith("scenario#") and error.message for error in errors)


def test_what_is_sound_is_answered() -> None:
    assert CUSTARD["id"] == "custard"
    assert scenario_answers([("it", json.dumps(OWN))])
