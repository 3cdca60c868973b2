"""Ready times and windows, against a search that tries every minute."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.timing.schedule import Placed, TimedStep, Timing, Work
from costing.timing.spans import Minutes, WorkingHours, minute_of, moment_of
from costing.timing.windows import check_window

ZONE = ZoneInfo("Europe/Vienna")
HOURS = WorkingHours({day: ((time(7), time(12)), (time(13), time(17))) for day in range(6)}, ZONE)
START = minute_of(datetime(2027, 2, 4, 7, tzinfo=ZONE))  # a Thursday


def at(day: int, hour: int, minute: int = 0) -> int:
    return minute_of(datetime(2027, 2, day, hour, minute, tzinfo=ZONE))


def tart(look_ahead: int = 10 * 24 * 60) -> Timing:
    custard = Work("custard", "Custard", (TimedStep("Cook", "cook", 40, hold_max=24 * 60),))
    steps = (
        TimedStep("Fill", "fill", 30, hold_max=15),
        TimedStep("Bake", "bake", 45, hold_max=60),
        TimedStep("Chill", "chill", 720, attended=False, wait_min=0, hold_max=24 * 60),
        TimedStep("Box", "pack", 20, hold_max=36 * 60),
    )
    return Timing(
        {"custard": custard, "tart": Work("tart", "Custard tart", steps, ("custard",))},
        ("tart",),
        HOURS,
        START,
        look_ahead,
    )


def test_a_night_in_the_cold_makes_the_tart_ready_the_next_morning() -> None:
    # Cook 7:00-7:40, fill to 8:10, bake to 8:55, chill to 20:55, box when hands are back at 7:00.
    assert tart().departures().first == at(5, 7, 20)


def test_a_window_too_early_names_the_product_the_step_and_the_nearest_window() -> None:
    answer = check_window(tart(), at(4, 16), at(4, 17, 30), travel=30)
    assert not answer.ok
    assert answer.reason is not None
    assert (answer.reason.kind, answer.reason.product, answer.reason.step) == ("not_before", "Custard tart", "Chill")
    assert answer.reason.minute == at(5, 7, 50)
    assert answer.nearest == (at(5, 8), at(5, 9, 30))


def test_the_reason_carries_until_when_cooling_keeps_the_longest_step() -> None:
    bake, chill = (
        TimedStep("Bake", "bake", 45, hold_max=60),
        TimedStep("Chill", "chill", 900, attended=False, until_c=5.0),
    )
    works = {"tart": Work("tart", "Custard tart", (bake, chill))}
    answer = check_window(Timing(works, ("tart",), HOURS, START), at(4, 16), at(4, 17))
    assert answer.reason is not None
    assert (answer.reason.step, answer.reason.until_c) == ("Chill", 5.0)
    stated = check_window(tart(), at(4, 16), at(4, 17, 30), travel=30)
    assert stated.reason is not None
    assert stated.reason.until_c is None


def test_a_window_that_works_says_when_work_begins_at_the_latest() -> None:
    answer = check_window(tart(), at(6, 14), at(6, 16), travel=30)
    assert answer.ok
    # Boxed by 12:00 or 17:00 at the latest; out at 15:30 means boxed at 15:30, chilled from 15:10 minus 12 hours,
    # baked the day before by 17:00.
    assert [moment_of(p.end, ZONE).strftime("%a %H:%M") for p in answer.schedule if p.step.name == "Bake"] == [
        "Fri 17:00"
    ]
    assert answer.latest_start == min(p.start for p in answer.schedule)


def test_what_keeps_too_short_is_named_as_not_after() -> None:
    answer = check_window(tart(4 * 24 * 60), at(14, 10), at(14, 11))
    assert not answer.ok
    assert answer.reason is not None
    assert answer.reason.kind == "not_after"


def test_no_working_hours_means_never() -> None:
    timing = Timing({"a": Work("a", "A", (TimedStep("Mix", "mix", 10),))}, ("a",), WorkingHours({}, ZONE), START, 1000)
    answer = check_window(timing, START + 100, START + 200)
    assert (answer.ok, answer.nearest, answer.reason and answer.reason.kind) == (False, None, "never")


def test_closed_days_and_the_change_to_summer_time_are_kept() -> None:
    hours = WorkingHours({6: ((time(1), time(4)),)}, ZONE)
    spans = hours.between(at(1, 0), minute_of(datetime(2027, 4, 1, tzinfo=ZONE))).spans
    lengths = {last - first for first, last in spans}
    assert lengths == {180, 120}  # 28 March 2027 has no 02:00 to 03:00
    closed = WorkingHours({6: ((time(1), time(4)),)}, ZONE, frozenset({date(2027, 3, 28)}))
    assert len(closed.between(at(1, 0), minute_of(datetime(2027, 4, 1, tzinfo=ZONE))).spans) == len(spans) - 1


def test_a_moment_without_a_time_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        minute_of(datetime(2027, 2, 4, 7))  # noqa: DTZ001 - the very mistake


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), max_size=6), st.integers(0, 5), st.integers(0, 5))
def test_sets_of_minutes_are_sets(spans: list[tuple[int, int]], least: int, more: int) -> None:
    minutes = Minutes.of(spans)
    members = {m for first, last in spans for m in range(first, last + 1)}
    assert {m for m in range(-5, 60) if m in minutes} == members
    shifted = minutes.later(least, least + more)
    assert {m for m in range(-5, 60) if m in shifted} == {
        m + d for m in members for d in range(least, least + more + 1)
    }
    assert minutes.latest(12) == max((m for m in members if m <= 12), default=None)


STEPS = st.builds(
    TimedStep,
    name=st.just("Step"),
    kind=st.just("mix"),
    elapsed=st.integers(1, 5),
    wait_min=st.integers(0, 3),
    hold_max=st.none() | st.integers(0, 6),
    attended=st.booleans(),
)
OPEN = st.lists(st.tuples(st.integers(0, 58), st.integers(1, 10)), min_size=1, max_size=4)


class ShortDay(WorkingHours):
    """Working hours in minutes, so that a search over every minute stays small."""

    __slots__ = ("open",)

    def __init__(self, spans: list[tuple[int, int]]) -> None:
        super().__init__({}, ZONE)
        object.__setattr__(self, "open", Minutes.of((a, a + n) for a, n in spans))

    def between(self, first: int, last: int) -> Minutes:
        opened: Minutes = self.open
        return opened & Minutes.of([(first, last)])


def every_chain(steps: tuple[TimedStep, ...], hours: Minutes, first: int, last: int) -> Iterator[tuple[int, ...]]:
    """Return every tuple of start minutes that meets all rules."""
    if not steps:
        yield ()
        return
    step = steps[-1]
    for starts in every_chain(steps[:-1], hours, first, last):
        for start in range(first, last - step.elapsed + 1):
            if starts:
                gap = start - starts[-1] - steps[-2].elapsed
                most = last if steps[-2].hold_max is None else max(steps[-2].hold_max, steps[-2].wait_min)
                if not steps[-2].wait_min <= gap <= most:
                    continue
            if step.attended and not any(a <= start and start + step.elapsed <= b for a, b in hours.spans):
                continue
            yield (*starts, start)


@given(st.lists(STEPS, min_size=1, max_size=2).map(tuple), OPEN)
def test_the_minutes_of_being_ready_are_exactly_those_some_schedule_reaches(
    steps: tuple[TimedStep, ...], spans: list[tuple[int, int]]
) -> None:
    hours = ShortDay(spans)
    timing = Timing({"a": Work("a", "A", steps)}, ("a",), hours, 0, 40)
    chains = list(every_chain(steps, hours.between(0, 40), 0, 40))
    last = steps[-1]
    ready: dict[int, int] = {}
    for starts in chains:
        end = starts[-1] + last.elapsed
        most = 40 if last.hold_max is None else max(last.hold_max, last.wait_min)
        for minute in range(end + last.wait_min, min(end + most, 40) + 1):
            ready[minute] = max(ready.get(minute, 0), starts[0])
    departures = timing.departures()
    assert {m for m in range(41) if m in departures} == set(ready)
    assert timing.departures().first == min(ready, default=None)
    for minute, begin in ready.items():
        placed = timing.schedule(minute)
        assert min(item.start for item in placed) == begin
        _keeps_the_rules(placed, hours.between(0, 40), minute)
    for minute in set(range(41)) - set(ready):
        with pytest.raises(ValueError, match="cannot be used"):
            timing.schedule(minute)


def _keeps_the_rules(placed: tuple[Placed, ...], hours: Minutes, departure: int) -> None:
    following = [item.start for item in placed[1:]] + [departure]
    for item, used_at in zip(placed, following, strict=True):
        assert item.end - item.start == item.step.elapsed
        gap = used_at - item.end
        assert gap >= item.step.wait_min
        assert item.step.hold_max is None or gap <= max(item.step.hold_max, item.step.wait_min)
        if item.step.attended:
            assert any(a <= item.start and item.end <= b for a, b in hours.spans)


@given(
    st.lists(STEPS, min_size=1, max_size=3).map(tuple),
    OPEN,
    st.integers(0, 40),
    st.integers(0, 12),
    st.booleans(),
    st.integers(0, 4),
)
def test_an_answered_window_can_be_kept_and_a_refused_one_cannot(
    steps: tuple[TimedStep, ...], spans: list[tuple[int, int]], start: int, length: int, whole: bool, travel: int
) -> None:
    timing = Timing({"a": Work("a", "A", steps)}, ("a",), ShortDay(spans), 0, 40)
    answer = check_window(timing, start, start + length, travel=travel, whole=whole, grid=1)
    possible = [m + travel in range(start, start + length + 1) for m in range(41) if m in timing.departures()]
    needed = all(m - travel in timing.departures() for m in range(start, start + length + 1))
    assert answer.ok == (needed if whole else any(possible))
    if answer.ok:
        assert answer.reason is None
    else:
        assert answer.reason is not None
    if answer.nearest is not None and not answer.ok:
        again = check_window(timing, *answer.nearest, travel=travel, whole=whole, grid=1)
        assert again.ok
        assert again.latest_start == answer.latest_start


SPANS = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), max_size=8)


def each_minute(minutes: Minutes) -> set[int]:
    return {minute for first, last in minutes.spans for minute in range(first, last + 1)}


@given(SPANS, SPANS, st.integers(0, 5), st.integers(0, 5))
def test_sets_of_minutes_are_cut_and_put_later_as_single_minutes_are(
    some: list[tuple[int, int]], others: list[tuple[int, int]], least: int, more: int
) -> None:
    mine, theirs = Minutes.of(some), Minutes.of(others)
    assert each_minute(mine) == {minute for first, last in some for minute in range(first, last + 1)}
    assert mine & theirs == Minutes.of([(minute, minute) for minute in each_minute(mine) & each_minute(theirs)])
    later = {minute + by for minute in each_minute(mine) for by in range(least, least + more + 1)}
    assert mine.later(least, least + more) == Minutes.of([(minute, minute) for minute in later])
