"""A batch’s page and the command `cooling` say the same of the same thing: its case, fed to the command, answers so."""

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import BatchCycleReport, batch_report
from catalog.cooling.selectors import cooled
from costing.chilling import COOKED, NOT_MET, PROFILES, case_answers, case_to_json, report, report_to_json
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.cooling.test_contents import taking

pytestmark = pytest.mark.django_db

BATH = {"ice_bath": True, "bath_to_c": Decimal(21)}
#: What is cooled -> the step's columns, the rule of the kitchen, and how much of it [g].
CASES: dict[str, tuple[dict[str, Any], str, int]] = {
    "in tubs": ({"depth_cm": 5}, "us", 4000),
    "shallow": ({"depth_cm": 2}, "us", 2000),
    "under a lid": ({"depth_cm": 5, "covered": True}, "us", 4000),
    "an ice bath": (BATH, "us", 3000),
    "an ice bath, stirred": (BATH | {"stir_min": Decimal(10)}, "us", 3000),
    "an ice bath for so long": ({"ice_bath": True, "stir_min": 5, "bath_min": 20, "depth_cm": 5}, "us", 6000),
    "an ice bath under a lid": (BATH | {"covered": True}, "us", 3000),
    "not cooked": ({"depth_cm": 3, "leaves_c": 25, "kind": "mix", "name": "Mix"}, "us", 2000),
    "by a rule without times": ({"depth_cm": 5}, "eu", 4000),
    "by a rule with its own cold": (BATH | {"stir_min": Decimal(10)}, "uk-en", 3000),
}


def one_cooling(name: str) -> BatchCycleReport:
    hot, rules, grams = CASES[name]
    batch_kitchen_make(profile={"food_safety": rules}, **hot)
    (found,) = batch_report("custard", Fraction(grams)).cycles
    return found


def by_command(case: dict[str, Any]) -> dict[str, Any]:
    (found,) = case_answers([("case", json.dumps(case))])
    return found


@pytest.mark.parametrize("name", CASES)
def test_a_batch_is_judged_alike(name: str) -> None:
    one = one_cooling(name)
    cycle = one.figures.cycle
    found = by_command(case_to_json(cycle.plan, cycle.mixture))
    assert found["report"] == report_to_json(cycle.plan, one.figures.report)


@pytest.mark.parametrize("name", ["shallow", "an ice bath, stirred", "by a rule without times", "in tubs"])
def test_its_ice_baths_are_proposed_alike(name: str) -> None:
    one = one_cooling(name)
    cycle = one.figures.cycle
    found = by_command(case_to_json(cycle.plan, cycle.mixture))["remedies"]
    assert one.remedies is not None
    timed = bool(cycle.plan.rule.legs)
    shown = {
        (round(each.trial.cold_slow or 0, 1), each.verdict if timed else "untimed")
        for each in one.remedies.tried
        if each.change.code.startswith("bath")
    }
    assert shown == {(each["cold_slow"], each["verdict"]) for each in found if each["change"] != "divided"}


def test_two_layers_by_a_rule_without_times_are_judged_alike() -> None:
    cooling_kitchen_make(food_safety="eu")
    taking("bake", "custard", takes_c=Decimal(5), takes_as="layer")
    ((cycle,),) = (one.cycles for one in cooled(["custard-tart"], book_current()).values())
    plan, found = cycle.plan, by_command(case_to_json(cycle.plan, cycle.mixture, cycle.above))["report"]
    known = report_to_json(plan, report(plan))
    assert found["rule"] == known["rule"]
    assert (found["verdict"], len(found["layers"])) == ("untimed", 2)
    for one, other in zip(found["minutes_to"], known["minutes_to"], strict=True):
        assert one == pytest.approx(other, rel=0.01)


def test_what_stood_hot_before_has_less_time_left() -> None:
    one = one_cooling("not cooked").figures.cycle
    plan = replace(one.plan, rule=PROFILES[COOKED], hot_before_min=119.0)
    case = case_to_json(plan, one.mixture)
    assert case["hot_before_min"] == 119.0
    assert by_command(case)["report"] == report_to_json(plan, report(plan))
    assert report(plan).verdict == NOT_MET
