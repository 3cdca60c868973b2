"""The day in words: what begins or leaves and when, the week at hand, what customers wrote."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Final

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.web import display
from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.production.day import Leaving
from orders.quotes.draft.message_answers import replied_of
from orders.quotes.draft.message_needs import held_of

#: Most orders named on a day of the week; the day's own list has them all.
NAMED: Final = 6


@dataclass(frozen=True, slots=True)
class ComingShown:
    """An order with its next moment: the time, what then, and when it is handed over."""

    row: Leaving
    time: str
    what: str
    late: bool
    hand_over: str
    place: str


@dataclass(frozen=True, slots=True)
class ComingDay:
    """The orders whose next moment is on one day, under its name."""

    name: str
    rows: list[ComingShown]


def coming_shown(rows: Iterable[Leaving], *, today: date, now: datetime) -> list[ComingDay]:
    """Write what comes next, day by day; what should have happened before today is under today."""
    return [
        ComingDay(_day_name(day, today), [_coming(row, today, now) for row in of_day])
        for day, of_day in groupby(rows, key=lambda row: max(timezone.localdate(row.next_at), today))
    ]


def late_shown(rows: Iterable[Leaving], *, today: date, now: datetime) -> list[ComingShown]:
    """Write what was not handed over on its day: when it was due, whether it was begun or not."""
    due = gettext("was due")
    shown = [_coming(row, today, now) for row in rows]
    return [replace(one, time=display.moment(one.row.order.window_start), what=due, late=True) for one in shown]


def _day_name(day: date, today: date) -> str:
    if day == today:
        return gettext("Today")
    written = {"day": display.day(day)}
    return gettext("Tomorrow, %(day)s") % written if day == today + timedelta(days=1) else written["day"]


def _coming(row: Leaving, today: date, now: datetime) -> ComingShown:
    order, pickup = row.order, row.content.event.hand_over == Inquiry.HandOver.PICKUP
    past = timezone.localdate(row.next_at) < today
    late = row.next_at < now if row.not_begun else order.window_end < now
    if row.not_begun:
        what = gettext("production should have started") if late else gettext("start production by")
        what = gettext("not planned yet: %(what)s") % {"what": what} if row.unplanned else what
    elif pickup:
        what = gettext("pickup from")
    else:
        what = gettext("leave by")
    return ComingShown(
        row,
        time=display.moment(row.next_at) if past else display.clock(row.next_at),
        what=what,
        late=late,
        hand_over=_hand_over(row, pickup=pickup),
        place=row.content.event.place,
    )


def _hand_over(row: Leaving, *, pickup: bool) -> str:
    same = timezone.localdate(row.next_at) == timezone.localdate(row.order.window_start)
    start, end = row.order.window_start, row.order.window_end
    window = display.window(start, end)
    if same and timezone.localdate(start) == timezone.localdate(end):
        window = gettext("%(start)s to %(end)s") % {"start": display.clock(start), "end": display.clock(end)}
    if pickup:
        return gettext("Pickup %(window)s") % {"window": window}
    facts = {"window": window, "place": row.content.event.place}
    return (gettext("Delivery %(window)s, %(place)s") if facts["place"] else gettext("Delivery %(window)s")) % facts


@dataclass(frozen=True, slots=True)
class WeekDay:
    """A day of the week at hand with the orders that leave on it, and how many more there are."""

    name: str
    day: str
    orders: list[Order]
    more: int
    address: str


def week_shown(week: Iterable[tuple[date, list[Order]]], *, today: date) -> list[WeekDay]:
    """Write what leaves on each day."""
    return [
        WeekDay(
            gettext("Today") if day == today else display.weekday(day),
            display.short_day(day),
            orders[:NAMED],
            max(0, len(orders) - NAMED),
            f"{reverse('orders')}?show=all&day={day.isoformat()}",
        )
        for day, orders in week
    ]


#: What a customer wrote -> what they did.
_WROTE: Final[dict[str, str]] = {
    Message.Kind.CHANGE: marked("asks for a change"),
    Message.Kind.DECLINE: marked("declined"),
}


def messages_shown(messages: Iterable[Message]) -> list[tuple[Message, str]]:
    """Pair each message of a customer with what they did."""
    every = list(messages)
    held, replied = held_of(every), replied_of(every)
    return [(one, _did(one, held=one.pk in held, replied=one.pk in replied)) for one in every]


def _did(message: Message, *, held: bool, replied: bool) -> str:
    did = gettext("wanted to approve") if held else gettext(_WROTE[message.kind])
    if not replied:
        return did
    return gettext("%(did)s (replied to; what it says of allergies and diets is not recorded yet)") % {"did": did}
