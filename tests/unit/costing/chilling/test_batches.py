"""What would meet the rule for a batch in its vessels, and when its slow end is open."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import pytest

from costing.chilling import (
    BULK_MM,
    ICE_BATH,
    ICE_WATER_C,
    MOST_VESSELS,
    PROFILES,
    STIR_MIN,
    BatchRemedy,
    Layer,
    Plan,
    Slab,
    Stage,
    Vessel,
    batch_remedies,
    filled,
    food_of,
    report,
    trial,
    with_fill,
)
from costing.chilling.profiles import COOKED
from costing.chilling.remedies import SMALLEST_MM
from costing.chilling.vessels import BRIMFUL

CURD = food_of({"water": 45, "fat": 20, "protein": 4, "carb": 30, "ash": 1})
TUB = Vessel("tub", 65, length_mm=250, width_mm=160)
POT = Vessel("pot", 250, diameter_mm=240)


def plan_in(vessel: Vessel, kg: float, *stages: Stage, count: int = 1) -> Plan:
    fill, around = filled(vessel, kg, CURD.rho, count), vessel.surroundings()
    used = stages or (around.stage("room", 20, 21), around.stage("still", 240, 3))
    return Plan(fill.body, CURD, 80.0, used, PROFILES[COOKED], around, fill=fill)


def named(found: tuple[BatchRemedy, ...]) -> dict[tuple[str, bool], BatchRemedy]:
    return {(one.change, one.stirred_every_min is not None): one for one in found}


def test_a_tub_of_curd_is_divided_over_the_fewest_that_keep_the_rule() -> None:
    plan = plan_in(TUB, 2.6)
    divided = named(batch_remedies(plan))["divided", False]
    assert divided.trial.verdict == "kept"
    assert divided.helps
    assert plan.fill is not None
    fewer = filled(TUB, 2.6, CURD.rho, divided.fill.count - 1)
    assert trial(with_fill(plan, fewer)).verdict != "kept"
    assert divided.fill.height_mm == pytest.approx(plan.fill.height_mm / divided.fill.count)


def test_stirred_in_an_ice_bath_until_it_is_cold_it_keeps_the_rule() -> None:
    found = named(batch_remedies(plan_in(TUB, 2.6)))
    assert found["bath", True].trial.verdict == "kept"
    assert found["bath", True].stirred_every_min == STIR_MIN
    assert not found["bath", False].helps
    first = found["bath_first", True]
    assert first.bath_to_c == pytest.approx(21.11, abs=0.01)
    assert 0 < first.bath_minutes < found["bath", True].bath_minutes
    assert first.bath_minutes % 5 == 0
    assert [stage.bath for stage in first.trial.plan.stages] == [True, False]


def test_what_may_not_be_stirred_stands_in_its_bath() -> None:
    assert all(one.stirred_every_min is None for one in batch_remedies(plan_in(TUB, 2.6), stirred=False))
    layered = replace(plan_in(TUB, 2.6), top=Layer(CURD, 5, 5.0))
    assert all(one.stirred_every_min is None for one in batch_remedies(layered))


def test_without_vessels_there_is_nothing_to_divide() -> None:
    assert batch_remedies(replace(plan_in(TUB, 2.6), fill=None)) == ()


def test_where_no_number_of_vessels_does_the_most_are_shown() -> None:
    deep = Vessel("pot", 400, diameter_mm=120)
    plan = plan_in(deep, 4.0, deep.surroundings().stage("still", 240, 4.9))
    divided = named(batch_remedies(plan))["divided", False]
    assert not divided.helps
    assert divided.fill.count == MOST_VESSELS


def test_nothing_is_spread_thinner_than_a_kitchen_does_or_fills_a_vessel_to_its_rim() -> None:
    """3/8 in (1 cm) and nine tenths of the height: common practice, no source."""
    for kg in (0.4, 0.8, 1.5, 2.8, 12.0):
        for one in batch_remedies(plan_in(TUB, kg, count=ceil(kg / 2.9))):
            if one.change == "divided":
                assert one.fill.height_mm >= SMALLEST_MM == 10
                assert one.fill.height_mm <= BRIMFUL * TUB.depth_mm


def test_other_vessels_change_body_and_wall() -> None:
    plan = plan_in(TUB, 2.6)
    pan = Vessel("hotel pan", 65, length_mm=505, width_mm=300)
    stages = (pan.surroundings().stage("still", 240, 3),)
    other = with_fill(plan, filled(pan, 2.6, CURD.rho), stages)
    assert other.body == pan.body(other.body.height_mm)
    assert other.surroundings.wall == "metal"
    assert other.stages == stages
    assert with_fill(plan, filled(pan, 2.6, CURD.rho)).stages == plan.stages


def test_a_layer_becomes_as_thin_as_the_batch_below_it() -> None:
    plan = plan_in(TUB, 2.0)
    assert plan.fill is not None
    layered = replace(plan, body=TUB.body(plan.fill.height_mm + 8), top=Layer(CURD, 8, 5.0))
    half = with_fill(layered, filled(TUB, 2.0, CURD.rho, 2))
    assert half.top is not None
    assert half.top.height_mm == pytest.approx(4)
    assert half.body.height_mm == pytest.approx(plan.fill.height_mm / 2 + 4)


def test_a_thick_filling_that_stands_has_no_slow_end_and_keeps_no_rule() -> None:
    plan = plan_in(POT, 8.0)
    found = report(plan)
    assert found.doubt is not None
    assert found.doubt.most_mm == BULK_MM < found.doubt.thinnest_mm
    assert found.cold.slow is None
    assert found.cold.likely is not None
    assert all(leg.slow.minutes is None for leg in found.legs)
    lenient = replace(PROFILES[COOKED], legs=(replace(PROFILES[COOKED].legs[0], minutes=9000.0),))
    assert report(replace(plan, rule=lenient)).verdict == trial(replace(plan, rule=lenient)).verdict == "not kept"
    assert report(replace(plan, rule=replace(lenient, legs=()))).verdict == "untimed"


def test_stirred_until_it_is_cold_it_has_one_and_stirred_for_a_while_it_has_none() -> None:
    around = POT.surroundings()
    bath = around.stage(ICE_BATH, 300, ICE_WATER_C, 10)
    assert report(plan_in(POT, 8.0, bath)).verdict == "kept"
    assert report(plan_in(POT, 8.0, bath, around.stage("still", 600, 3))).doubt is None
    shorter = replace(bath, minutes=60)
    assert report(plan_in(POT, 8.0, shorter, around.stage("still", 600, 3))).doubt is not None


def test_a_cake_as_thick_and_a_shallow_pan_are_as_before() -> None:
    assert report(replace(plan_in(POT, 8.0), fill=None)).doubt is None
    assert report(plan_in(TUB, 2.6)).doubt is None
    assert report(replace(plan_in(TUB, 2.6), body=Slab(BULK_MM + 1))).doubt is not None
