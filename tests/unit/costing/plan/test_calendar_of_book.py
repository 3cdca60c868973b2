"""The hands of a kitchen's plan: people as the hours state them, and dates whose hours differ from their weekday's."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

from costing.contract import read_whole_book
from costing.contract.kitchen import ClosedDay, DatedHours, OpenHours
from costing.plan.book_kitchen import UNCOUNTED, days_of, kitchen_of, most_people
from tests.integration.catalog.book.forms import whole_kitchen

MONDAY = date(2027, 2, 1)
BOOK = replace(
    read_whole_book(whole_kitchen()),
    hours=(OpenHours(0, time(7), time(12), 3), OpenHours(1, time(7), time(12)), OpenHours(3, time(7), time(12), 2)),
    days=(DatedHours(date(2027, 2, 3), time(14), time(16), 4), DatedHours(date(2027, 2, 4), time(9), time(10))),
    closed=(ClosedDay(date(2027, 2, 8)),),
)


def test_people_and_dated_hours_are_the_hands_of_the_plan() -> None:
    hands = kitchen_of(BOOK, days_of(BOOK, MONDAY, 8), 0).resources[0]
    # Monday, Tuesday without a figure, Wednesday and Thursday by their dates; the next Monday is closed.
    assert [(level.end - level.begin, level.amount) for level in hands.levels] == [
        (300, 3), (300, 1), (120, 4), (60, 1)
    ]  # fmt: skip
    assert (hands.places, most_people(BOOK)) == (4, 4)
    # Where nobody states it, hands are not counted.
    assert most_people(replace(BOOK, hours=None, days=None)) == UNCOUNTED
