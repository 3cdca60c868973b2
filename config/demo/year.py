"""A year of the invented kitchen's inquiries and orders, up to today."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final

from django.utils import timezone

from config.demo import stories, weeks
from config.demo.days import saturday
from config.demo.measured import probed_in_force
from config.demo.people import PEOPLE, PLACES
from config.demo.stories import Story
from orders.orders.services import order_start
from orders.quotes.models import Quote

#: One past story every so many days of the year.
EVERY: Final = 9
#: The wedding's story, which has the private link of the walk-through.
WEDDING: Final = 0


def build_year(now: datetime, *, report: Callable[[str], None]) -> Quote:
    """Build the whole year; return the wedding's quote, which waits for its answer."""
    today = timezone.localtime(now).date()
    report("A year of inquiries, quotes, orders and invoices")
    _past(today)
    report("The coming weekends")
    _under_way(today)
    weeks.build_weeks(today)
    wedding = _coming(today, now)
    weeks.wishes(today, now)
    return wedding


def _past(today: date) -> None:
    for number, days_ago in enumerate(range(360, 24, -EVERY), start=1):
        story = _story(number, saturday(today - timedelta(days=days_ago)))
        stories.PAST[number % len(stories.PAST)](story)
    _money_open(today)


def _story(number: int, day: date) -> Story:
    """Return the story of a number, composed from the lists."""
    return Story(
        number=number,
        person=PEOPLE[number % len(PEOPLE)],
        place=PLACES[number * 5 % len(PLACES)],
        day=day,
        hour=(13, 14, 15, 16, 17)[number % 5],
        guests=(36, 60, 85, 48, 110, 72)[number % 6],
        table=1 + number % 4,
        pickup=number % 5 == 3,
    )


def _money_open(today: date) -> None:
    """Build unpaid and part paid invoices of different ages."""
    for number, days_ago, story in (
        (101, 16, stories.part_paid),
        (102, 9, stories.unpaid),
        (103, 47, stories.unpaid),
        (104, 80, stories.part_paid),
    ):
        story(_story(number, saturday(today - timedelta(days=days_ago))))


def _under_way(today: date) -> None:
    """Build orders for the coming days: one due tomorrow, one confirmed, one with a late deposit."""
    soon = _story(111, today + timedelta(days=1))
    order = stories.to_order(replace(soon, hour=15, pickup=True, table=2, guests=48))
    order_start(order_id=order.pk, together=probed_in_force(), by="tomas", at=timezone.now())
    stories.to_order(replace(_story(112, saturday(today + timedelta(days=2))), table=4))
    late = replace(_story(113, saturday(today + timedelta(days=23))), table=3)
    stories.approved(late, stories.to_quote(late), late.starts - timedelta(days=41))


def _coming(today: date, now: datetime) -> Quote:
    """Build three open inquiries: a sent quote for a wedding whose day is kept, a draft, a new inquiry."""
    wedding = Story(
        number=WEDDING,
        person=PEOPLE[0],
        place=PLACES[0],
        day=saturday(today + timedelta(days=16)),
        hour=16,
        guests=140,
        table=0,
        allergies=("tree-nuts", "milk"),
        need_counts={"tree-nuts": 2, "milk": 1},
        allergy_note="Two guests cannot eat nuts, one no milk at all.",
        note="Called on Sunday. Wants two baked custards on the table and one cake to cut.",
        budget=320000,
    )
    quote = stories.composed(wedding, stories.inquired(wedding, now - timedelta(days=2)), now - timedelta(days=1))
    quote = stories.sent(wedding, quote, now - timedelta(hours=20), valid_days=10, reserve_day=True)
    supper = replace(
        _story(121, saturday(today + timedelta(days=23))), person=PEOPLE[1], guests=64, table=1, pickup=False
    )
    stories.composed(supper, stories.inquired(supper, now - timedelta(days=1)), now - timedelta(hours=6))
    first = replace(
        _story(122, saturday(today + timedelta(days=23))),
        person=PEOPLE[23],
        guests=95,
        pickup=False,
        note="Asks for something without eggs beside the rest.",
    )
    stories.inquired(first, now - timedelta(hours=3))
    return quote
