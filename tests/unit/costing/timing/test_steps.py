"""The minutes of a step: hands exactly, and the three readings of the clock."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.contract.steps import KINDS, WAITING, Step
from costing.timing.steps import clock_minutes, hands_minutes, turn_minutes, whole_clock_minutes

MINUTES = st.fractions(0, 300, max_denominator=40)
STEPS = st.builds(
    Step,
    kind=st.sampled_from(list(KINDS)),
    hands_fixed=MINUTES,
    hands_each=MINUTES,
    minutes=st.none() | MINUTES,
    wait_min=st.none() | MINUTES,
)
AMOUNTS = st.fractions(0, 50, max_denominator=7)


def test_hands_are_those_of_each_batch_and_of_each_kilogram() -> None:
    step = Step("mix", hands_fixed=Fraction(14), hands_each=Fraction("1.5"))
    assert hands_minutes(step, 2, Fraction("1.44")) == Fraction("30.16")


@pytest.mark.parametrize(
    ("kind", "clock", "turn"),
    [("fill", 62, 62), ("bake", 62, 62), ("rest", 45, 62), ("chill", 45, 62)],
)
def test_beside_a_step_that_waits_nobody_stands(kind: str, clock: int, turn: int) -> None:
    step = Step(kind, hands_fixed=Fraction(14), hands_each=Fraction(2), minutes=Fraction(45))
    assert clock_minutes(step, 1, Fraction(24)) == clock
    assert turn_minutes(step, 1, Fraction(24)) == turn


def test_work_is_cut_at_the_longest_time_somebody_is_there_and_waiting_is_not() -> None:
    assert whole_clock_minutes(Step("pack", hands_each=Fraction(1)), 1, Fraction(900), 480) == 480
    assert whole_clock_minutes(Step("chill", minutes=Fraction("900.2")), 1, Fraction(1), 480) == 901


@given(STEPS, st.integers(1, 9), AMOUNTS, st.integers(1, 1000))
def test_the_readings_differ_only_as_they_say(step: Step, times: int, amount: Fraction, longest: int) -> None:
    clock, turn = clock_minutes(step, times, amount), turn_minutes(step, times, amount)
    whole = whole_clock_minutes(step, times, amount, longest)
    assert turn - (step.wait_min or 0) == max(clock, hands_minutes(step, times, amount))
    assert clock <= turn
    if step.kind in WAITING:
        assert clock == (step.minutes or 0)
        assert 0 <= whole - clock < 1
    else:
        assert turn - (step.wait_min or 0) == clock
        assert whole == longest or 0 <= whole - clock < 1
