"""Windows within the hours of handing over, and dates whose hours differ from their weekday's."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

from hypothesis import given
from hypothesis import strategies as st

from costing.contract import read_whole_book
from costing.timing.chains import hand_over_hours, working_hours
from costing.timing.spans import Minutes, WorkingHours
from costing.timing.windows import check_window
from tests.integration.catalog.book.forms import whole_kitchen
from tests.unit.costing.timing.test_timing import HOURS, START, ZONE, at, tart

#: Friday from nine to noon, the first day on which the tart is ready.
FRIDAY = Minutes.of([(at(5, 9), at(5, 12))])


def test_hours_of_a_date_count_instead_of_its_weekdays() -> None:
    saturday = date(2027, 2, 6)
    own = replace(HOURS, dated={saturday: ((time(9), time(11)),), date(2027, 2, 7): ((time(8), time(10)),)})
    assert own.of_day(saturday) == ((time(9), time(11)),)
    assert own.between(at(6, 0), at(8, 0)).spans == ((at(6, 9), at(6, 11)), (at(7, 8), at(7, 10)))
    assert replace(own, closed=frozenset({saturday})).of_day(saturday) == ()


def test_the_book_says_both_kinds_of_hours_with_the_days_that_differ() -> None:
    book = read_whole_book(whole_kitchen())
    hours, over = working_hours(book), hand_over_hours(book)
    assert hours is not None
    assert over is not None
    assert over.weekly == {1: ((time(9), time(17)),)}
    assert (
        hours.dated
        == over.dated
        == {
            date(2026, 12, 24): ((time(5), time(12)),),
            date(2026, 12, 27): ((time(8), time(10)),),
        }
    )
    assert over.closed == {date(2027, 1, 1), date(2027, 5, 1)}
    assert hand_over_hours(replace(book, hand_over_hours=None)) is None


def test_a_pickup_lies_wholly_in_the_hours_and_the_nearest_one_does_too() -> None:
    met = check_window(tart(), at(5, 11, 30), at(5, 12), whole=True, hand_over=FRIDAY)
    assert met.ok
    late = check_window(tart(), at(5, 11, 45), at(5, 12, 15), whole=True, hand_over=FRIDAY)
    assert not late.ok
    assert late.reason is not None
    assert (late.reason.kind, late.reason.product) == ("closed", "")
    assert late.nearest == (at(5, 11, 30), at(5, 12))


def test_a_delivery_leaves_within_the_hours_for_the_start_of_its_window() -> None:
    assert check_window(tart(), at(5, 9, 30), at(5, 11), travel=30, hand_over=FRIDAY).ok
    # It could leave at nine and still arrive in the window; what is planned is leaving for its start.
    early = check_window(tart(), at(5, 9), at(5, 11), travel=30, hand_over=FRIDAY)
    assert not early.ok
    assert early.reason is not None
    assert early.reason.kind == "closed"
    assert early.nearest == (at(5, 9, 30), at(5, 11, 30))
    # Arriving after noon is no matter, leaving is.
    assert check_window(tart(), at(5, 12, 30), at(5, 13), travel=30, hand_over=FRIDAY).ok
    assert not check_window(tart(), at(5, 12, 45), at(5, 13), travel=30, hand_over=FRIDAY).ok


def test_what_is_not_ready_says_so_within_the_hours_too() -> None:
    answer = check_window(tart(), at(4, 16), at(4, 16, 30), whole=True, hand_over=HOURS.between(START, at(12, 0)))
    assert answer.reason is not None
    assert answer.reason.kind == "not_before"
    assert answer.nearest == (at(5, 7, 30), at(5, 8))


def test_a_closed_day_has_no_nearest_window_where_nothing_else_is_open() -> None:
    answer = check_window(tart(), at(5, 11), at(5, 12), whole=True, hand_over=Minutes(()))
    assert (answer.ok, answer.nearest) == (False, None)


@given(
    start=st.integers(START, START + 6 * 24 * 60),
    length=st.integers(0, 180),
    travel=st.sampled_from((0, 20, 95)),
    opens=st.integers(0, 22),
    span=st.integers(1, 600),
)
def test_every_window_that_is_kept_or_proposed_is_within_the_hours(
    start: int, length: int, travel: int, opens: int, span: int
) -> None:
    whole = travel == 0
    hours = WorkingHours({day: ((time(opens), time(min(23, opens + 1 + span // 60), 59)),) for day in range(7)}, ZONE)
    minutes = hours.between(START - 1440, START + 12 * 1440)
    answer = check_window(tart(), start, start + length, travel=travel, whole=whole, hand_over=minutes)
    plain = check_window(tart(), start, start + length, travel=travel, whole=whole)
    if answer.ok:
        assert plain.ok
    if answer.nearest is not None:
        first, last = answer.nearest[0] - travel, (answer.nearest[1] if whole else answer.nearest[0]) - travel
        assert any(begin <= first and last <= end for begin, end in minutes.spans)
