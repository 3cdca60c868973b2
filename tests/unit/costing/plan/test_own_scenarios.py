"""Several ovens, vans, days that differ, clocks that change, promises that may be elsewhere: derived by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.unit.costing.plan.scenarios import EARLIEST, answer, answers, feasible, hours, latest, scenario, step

COOKIES: dict[str, Any] = {
    "steps": [
        step("mix", 30, hands=1),
        step("bake", 60, temp=160, oven=1),
        step("rest", 30, 600, rack=1),
        step("pack", 15, hands=1),
        step("hold", 0, 120),
    ]
}
BUSY = {"resource": "oven", "amount": 1, "temp": 180, "from": "2026-09-07T08:00", "to": "2026-09-07T09:00"}


def oven(**more: Any) -> dict[str, Any]:
    return {"oven": {"kind": "oven", "capacity": 1, "tolerance": 10, **more}, "rack": {"capacity": 10}}


OUT = [{"from": "2026-09-07T08:00", "to": "2026-09-07T09:00", "count": 1}]


@pytest.mark.parametrize(
    ("ovens", "ready"),
    [
        # One oven, busy at 180 until 09:00: baked until 10:00, rested 10:30.
        (oven(), "2026-09-07T10:45"),
        # The second oven bakes from 08:00: rested 09:30.
        (oven(count=2), "2026-09-07T09:45"),
        # While it is out of order the other is busy: as with one.
        (oven(count=2, out=OUT), "2026-09-07T10:45"),
        # A tolerance of 20 lets both bake together, but there is one place.
        (oven(tolerance=20), "2026-09-07T10:45"),
        (oven(tolerance=20, capacity=2), "2026-09-07T09:45"),
        (oven(tolerance=19, capacity=2), "2026-09-07T10:45"),
    ],
)
def test_ovens_alike_are_each_at_one_temperature(ovens: dict[str, Any], ready: str) -> None:
    promised = [{"id": "A", "fixed": True, "uses": [BUSY]}]
    document = scenario("2026-09-07T07:30", [COOKIES], [EARLIEST], resources=ovens, confirmed=promised)
    assert answer(document) == ready


def test_a_load_is_in_one_of_the_ovens_alone() -> None:
    """Two places in each of two ovens: loads of two at 160 and at 200 go beside each other, a third waits an hour."""
    ovens = {"oven": {"kind": "oven", "capacity": 2, "tolerance": 10, "count": 2}}
    loads = [{"steps": [step("bake", 60, temp=temp, oven=2), step("hold", 0, 600)]} for temp in (160.0, 200.0, 160.0)]
    document = scenario("2026-09-07T06:00", loads[:2], [EARLIEST], resources=ovens)
    assert answer(document) == "2026-09-07T07:00"
    document = scenario("2026-09-07T06:00", loads, [EARLIEST], resources=ovens)
    assert answer(document) == "2026-09-07T08:00"


def test_a_van_that_is_away_takes_its_driver_along() -> None:
    """Packing takes two, and one drives until 10:00: packed 10:30, and with the van on its way 11:15."""
    drive = [
        {"resource": "van", "amount": 1, "from": "2026-09-07T09:00", "to": "2026-09-07T10:00"},
        {"resource": "hands", "amount": 1, "from": "2026-09-07T09:00", "to": "2026-09-07T10:00"},
    ]
    batch = {"steps": [step("pack", 30, hands=2), step("drive", 45, hands=1, van=1), step("stand", 0, 30)]}
    document = scenario(
        "2026-09-07T08:35",
        [batch],
        [EARLIEST],
        resources={"van": {"kind": "vehicle", "capacity": 1}},
        confirmed=[{"id": "A", "fixed": True, "uses": drive}],
    )
    assert answer(document) == "2026-09-07T11:15"


SET: dict[str, Any] = {
    "steps": [
        step("pour", 30, hands=1),
        step("set", 600, 4000, fridge=1),
        step("pack", 15, hands=1),
        step("hold", 0, 60),
    ]
}


def test_a_closed_day_is_a_day_on_which_nobody_packs() -> None:
    asked = [EARLIEST]
    assert answer(scenario("2026-09-07T06:00", [SET], asked)) == "2026-09-08T06:15"
    assert answer(scenario("2026-09-07T06:00", [SET], asked, closed=["2026-09-08"])) == "2026-09-09T06:15"


def test_hours_of_a_date_stand_for_the_days_own() -> None:
    dated = [hours("06:00", "14:00", 2), hours("09:00", "12:00", 1, date="2026-09-08")]
    assert answer(scenario("2026-09-07T06:00", [SET], [EARLIEST], hours=dated)) == "2026-09-08T09:15"


def night(date: str) -> list[dict[str, Any]]:
    return [hours("00:00", "12:00", 1, date=date)]


def work(minutes: int) -> dict[str, Any]:
    return {"steps": [step("work", minutes, hands=1), step("hold", 0, 0)]}


def test_three_hours_are_three_hours_when_clocks_are_put_forward() -> None:
    """On 28 March 2027 in Berlin 02:00 is 03:00: three hours from midnight it is 04:00."""
    document = scenario("2027-03-28T00:00", [work(180)], [EARLIEST], hours=night("2027-03-28"))
    assert answer(document) == "2027-03-28T04:00"


def test_three_hours_are_three_hours_when_clocks_are_put_back() -> None:
    """On 31 October 2027 in Berlin 03:00 is 02:00: three hours from midnight it is 02:00 for the second time."""
    document = scenario("2027-10-31T00:00", [work(180)], [EARLIEST], hours=night("2027-10-31"))
    assert answer(document) == "2027-10-31T02:00+01:00"


@pytest.mark.parametrize(
    ("minutes", "leaves", "can"),
    [
        (150, "2027-10-31T02:30", True),  # the first 02:30 is 150 minutes after midnight
        (155, "2027-10-31T02:30", False),
        (210, "2027-10-31T02:30+01:00", True),  # the second is an hour later
        (240, "2027-10-31T03:00", True),
        (245, "2027-10-31T03:00", False),
    ],
)
def test_a_time_that_exists_twice_is_the_first(minutes: int, leaves: str, can: bool) -> None:
    document = scenario("2027-10-31T00:00", [work(minutes)], [feasible(leaves)], hours=night("2027-10-31"))
    assert answer(document) is can


def promised(window: list[str]) -> list[dict[str, Any]]:
    plan = ["2026-09-07T07:00", "2026-09-07T08:00", "2026-09-07T08:00"]
    batch = {"id": "theirs", "steps": [step("assemble", 60, hands=1), step("hold", 0, 60)], "plan": plan}
    return [{"id": "A", "window": window, "batches": [batch]}]


MINE: dict[str, Any] = {"id": "mine", "steps": [step("assemble", 60, hands=1), step("hold", 0, 0)]}
ALONE = [hours("06:00", "14:00", 1)]


def test_what_is_promised_is_elsewhere_inside_its_window_when_that_is_allowed() -> None:
    """From 07:00 to 08:00 one pair of hands makes one of two; the other may leave until 10:00."""
    asked = [feasible("2026-09-07T08:00", replan=False), feasible("2026-09-07T08:00")]
    wide = promised(["2026-09-07T08:00", "2026-09-07T10:00"])
    document = scenario("2026-09-07T07:00", [MINE], asked, hours=ALONE, confirmed=wide)
    beside, anew = answers(document, plans=True)
    assert (beside["answer"], anew["answer"]) == (False, True)
    assert beside["reason"]["resource"] == "hands"
    assert anew["plan"]["mine"][0] == "2026-09-07T07:00"
    assert anew["plan"]["theirs"][0] >= "2026-09-07T08:00"


def test_a_promise_that_must_leave_then_is_a_no_with_a_sum() -> None:
    """Two hours of work from 07:00 to 08:00 for one pair of hands."""
    tight = promised(["2026-09-07T08:00", "2026-09-07T08:00"])
    document = scenario("2026-09-07T07:00", [MINE], [feasible("2026-09-07T08:00")], hours=ALONE, confirmed=tight)
    (found,) = answers(document)
    assert found["reason"] == {
        "resource": "hands",
        "from": "2026-09-07T07:00",
        "to": "2026-09-07T08:00",
        "needed_minutes": 120,
        "available_minutes": 60,
    }


def test_what_has_begun_stays() -> None:
    """At 07:05 the other is being assembled already."""
    wide = promised(["2026-09-07T08:00", "2026-09-07T10:00"])
    document = scenario("2026-09-07T07:05", [MINE], [feasible("2026-09-07T08:30")], hours=ALONE, confirmed=wide)
    assert answer(document) is False


def test_it_is_sold_fresh() -> None:
    """At most two hours after it was baked: with a pickup at 12:00 it is baked from 09:00 at the earliest."""
    fresh = {
        "steps": [step("bake", 60, temp=170, oven=1), step("stand", 0, 600)],
        "shelf_life_minutes": 120,
        "shelf_life_from": "end of bake",
    }
    taken = {"resource": "oven", "amount": 1, "from": "2026-09-07T09:05", "to": "2026-09-07T11:30", "temp": 170}
    asked = [latest("2026-09-07T12:00")]
    assert answer(scenario("2026-09-07T06:00", [fresh], asked)) == "2026-09-07T11:00"
    busy = [{"id": "A", "fixed": True, "uses": [taken]}]
    assert answer(scenario("2026-09-07T06:00", [fresh], asked, confirmed=busy)) is None
    taken["from"] = "2026-09-07T10:00"
    assert answer(scenario("2026-09-07T06:00", [fresh], asked, confirmed=busy)) == "2026-09-07T09:00"


def test_times_between_slots_are_rounded_on_the_safe_side() -> None:
    """32 minutes of work take 35; what is taken until 06:07 is taken until 06:10; a stay of at most 33 lasts 30."""
    taken = {"resource": "hands", "amount": 2, "from": "2026-09-07T06:00", "to": "2026-09-07T06:07"}
    batch = {"steps": [step("work", 32, hands=1), step("hold", 0, 33)]}
    busy = [{"id": "A", "fixed": True, "uses": [taken]}]
    document = scenario("2026-09-07T06:00", [batch], [EARLIEST, latest("2026-09-07T08:00")], confirmed=busy)
    ready, start = answers(document)
    assert (ready["answer"], start["answer"]) == ("2026-09-07T06:45", "2026-09-07T07:25")
    # A stay of 31 to 34 minutes lasts no whole number of slots.
    never = {"steps": [step("work", 30, hands=1), step("cool", 31, 34), step("pack", 5, hands=1), step("hold", 0, 60)]}
    assert answer(scenario("2026-09-07T06:00", [never], [feasible("2026-09-07T08:00")])) is False


def test_it_has_to_be_somebody_who_moves_it_on() -> None:
    """Set after 390 minutes, it goes on within half an hour, and somebody has to be there: it is poured early."""
    batch = {
        "steps": [
            step("pour", 30, hands=1),
            step("set", 390, 420, fridge=1),
            step("freeze", 60, 3000, fridge=1),
            step("hold", 0, 60),
        ]
    }
    asked = [latest("2026-09-08T13:00"), feasible("2026-09-07T21:00")]
    start, can = answers(scenario("2026-09-07T06:00", [batch], asked))
    # Freezing begins when somebody is there, on the same day: at 14:00 at the latest, poured at 06:30 or 07:00.
    assert start["answer"] == "2026-09-07T07:00"
    assert (can["answer"], can["reason"]["cause"]) == (False, "hours")


def test_four_rings_and_forty_cakes_are_ten_nights() -> None:
    """Four at a time set overnight: filled first on the 7th, the tenth four are unmolded on the 17th until 06:20."""
    cakes = {
        "count": 10,
        "steps": [
            step("fill", 40, hands=1, ring=4),
            step("set", 600, 2000, ring=4, fridge=1),
            step("unmold", 20, hands=1),
            step("hold", 0, 20000),
        ],
    }
    rings = {"ring": {"capacity": 4}, "fridge": {"capacity": 10}}
    asked = [EARLIEST, feasible("2026-09-17T06:15"), feasible("2026-09-17T06:20")]
    ready, before, then = answers(scenario("2026-09-07T06:00", [cakes], asked, resources=rings))
    assert (ready, before["answer"], then["answer"]) == ({"answer": "2026-09-17T06:20"}, False, True)


def test_eleven_loads_of_tartlets_are_eleven_loads() -> None:
    """Lined 06:20, eleven times 25 minutes in the oven until 10:55, cooled 11:25, filled 11:40."""
    tartlets = {
        "count": 11,
        "steps": [
            step("line", 20, hands=1),
            step("bake", 25, temp=180, oven=1),
            step("cool", 30, 300, rack=1),
            step("fill", 15, hands=1),
            step("hold", 0, 600),
        ],
    }
    ovens = {"oven": {"kind": "oven", "capacity": 1}, "rack": {"capacity": 20}}
    assert answer(scenario("2026-09-07T06:00", [tartlets], [EARLIEST], resources=ovens)) == "2026-09-07T11:40"
