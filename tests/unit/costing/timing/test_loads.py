"""When each load of a step leaves it, counted from the planned end: never later than it does."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from costing.contract.steps import Step
from costing.timing.loads import LoadTimes, load_times
from costing.timing.steps import clock_minutes, whole_clock_minutes

DAY = 480


def times(step: Step, count: int, *, in_oven: bool = False, longest: int = DAY) -> LoadTimes:
    return load_times(step, count, Fraction(4 * count), Fraction(4), longest=longest, in_oven=in_oven)


def baked(**facts: object) -> Step:
    return Step("bake", minutes=Fraction(50), **facts)  # type: ignore[arg-type]  # hands in tests


def test_loads_follow_each_other_out_of_the_oven() -> None:
    found = times(baked(), 10, in_oven=True)
    assert (found.first_min, found.every_min) == (0, 50)
    assert list(found.each()) == [50 * at for at in range(10)]


def test_work_of_hands_on_all_loads_is_planned_and_the_first_ends_before() -> None:
    found = times(Step("cook", hands_fixed=Fraction(10), hands_each=Fraction(5, 2)), 3)
    assert (found.first_min, found.every_min, list(found.each())) == (-40, 20, [-40, -20, 0])


def test_a_load_of_an_oven_waits_for_the_hands_of_all() -> None:
    """The plan counts ten times ten minutes of hands: the first load is out after its own fifty."""
    found = times(baked(hands_fixed=Fraction(10)), 10, in_oven=True)
    assert (found.first_min, found.every_min) == (-50, 50)


def test_what_may_stand_beside_each_other_counts_from_the_first() -> None:
    found = times(baked(), 10)
    assert (found.first_min, found.every_min, set(found.each())) == (0, None, {0})


def test_work_that_is_divided_among_people_counts_from_the_first() -> None:
    found = times(Step("cook", hands_fixed=Fraction(60)), 10)
    assert (found.every_min, set(found.each())) == (None, {60 - DAY})


def test_one_load_ends_with_its_step() -> None:
    assert times(baked(), 1, in_oven=True) == LoadTimes()


@given(
    count=st.integers(2, 40),
    load=st.integers(1, 60),
    fixed=st.fractions(0, 90, max_denominator=12),
    each=st.fractions(0, 10, max_denominator=12),
    minutes=st.none() | st.integers(0, 300).map(Fraction),
    in_oven=st.booleans(),
    short=st.integers(0, 59),
)
def test_no_load_counts_from_later_than_it_leaves(
    count: int, load: int, fixed: Fraction, each: Fraction, minutes: Fraction | None, short: int, *, in_oven: bool
) -> None:
    """Made one load after the other from the planned start of the step on, none leaves before its clock begins."""
    step = Step("bake", hands_fixed=fixed, hands_each=each, minutes=minutes)
    made = Fraction(max((count - 1) * load + 1, count * load - short))
    found = load_times(step, count, made, Fraction(load), longest=DAY, in_oven=in_oven)
    start = -whole_clock_minutes(step, count, made, DAY)
    last = made - (count - 1) * load
    own = [clock_minutes(step, 1, Fraction(load))] * (count - 1) + [clock_minutes(step, 1, last)]
    parallel = found.every_min is None
    ends = [start + (own[at] if parallel else sum(own[: at + 1], Fraction(0))) for at in range(count)]
    assert all(begins <= end for begins, end in zip(found.each(), ends, strict=True))
