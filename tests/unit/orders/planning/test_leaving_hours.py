"""When something may leave: in the stated hours, else while somebody works, else by day."""

from dataclasses import replace
from datetime import datetime, time, timedelta
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from costing.contract import Book
from costing.contract.kitchen import HandOverHours, Kitchen, OpenHours
from orders.inquiries.models import Inquiry
from orders.planning.leaving_hours import may_leave

ZONE = ZoneInfo("America/New_York")
#: Tuesday to Friday, 8 to 18.
WORKS = tuple(OpenHours(day, time(8), time(18)) for day in (1, 2, 3, 4))


def leaves(day: int, hour: int, how: str, **hours: Any) -> bool:
    start = datetime(2027, 2, day, hour, tzinfo=ZONE)
    book = replace(Book("USD", Kitchen("Tansy Row")), **hours)
    kitchen: Any = SimpleNamespace(book=book, days=SimpleNamespace(clock=SimpleNamespace(zone=ZONE)))
    inquiry = Inquiry(hand_over=how, window_start=start, window_end=start + timedelta(minutes=30))
    return may_leave(kitchen, inquiry, (start, start))


@pytest.mark.parametrize("how", [Inquiry.HandOver.PICKUP, Inquiry.HandOver.DELIVERY])
def test_without_hours_of_its_own_nothing_leaves_while_nobody_works(how: str) -> None:
    assert leaves(5, 10, how, hours=WORKS), "a Friday"
    assert not leaves(7, 10, how, hours=WORKS), "a Sunday"
    assert not leaves(5, 20, how, hours=WORKS), "after work"


@pytest.mark.parametrize("how", [Inquiry.HandOver.PICKUP, Inquiry.HandOver.DELIVERY])
def test_stated_hours_go_before_working_hours(how: str) -> None:
    stated = (HandOverHours(6, time(9), time(12)),)
    assert leaves(7, 10, how, hours=WORKS, hand_over_hours=stated)
    assert not leaves(5, 10, how, hours=WORKS, hand_over_hours=stated)


def test_where_no_hours_are_stated_at_all_it_is_by_day() -> None:
    assert leaves(7, 10, Inquiry.HandOver.DELIVERY)
    assert not leaves(7, 5, Inquiry.HandOver.DELIVERY)
