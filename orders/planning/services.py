"""Checking a draft's window beside what is promised: asked for by a page, worked out by the outbox."""

import time
from datetime import datetime, timedelta
from datetime import time as dt_time
from functools import partial
from typing import Final

from django.db import transaction

from catalog.book.selectors import book_current
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.records.errors import CannotPrice
from costing.plan.promises import Limits
from costing.timing.chains import hand_over_hours, working_hours
from orders.inquiries.models import Inquiry
from orders.planning.answers import answered
from orders.planning.models import WindowCheck
from orders.planning.plans import plan_days
from orders.planning.problem import KitchenProblem, kitchen_problem, leaving, trip_of
from orders.planning.promise import Leaving, promise
from orders.planning.selectors import check_key, days_around
from orders.planning.usual import asked_for
from orders.quotes.models import Quote

#: How long a check may look for a place for everything [s], and how often it takes other loads out for that.
SECONDS: Final = 20.0
TRIES: Final = 40
#: Where no hours are stated, windows are proposed between these.
DAY_BEGINS, DAY_ENDS = dt_time(7), dt_time(22)


@transaction.atomic(durable=True)
def window_check_ask(*, quote_id: int, at: datetime) -> bool:
    """Ask for the check of a draft's window; return whether an answer for just this is there already."""
    quote = Quote.objects.select_related("inquiry").prefetch_related("lines").get(pk=quote_id)
    key = check_key(quote, at)
    known = WindowCheck.objects.filter(quote=quote).first()
    if known is not None and known.key == key:
        return known.answered_at is not None
    facts = {"key": key, "answer": {}, "asked_at": at, "answered_at": None}
    WindowCheck.objects.update_or_create(quote=quote, defaults=facts)
    payload = {"quote": quote.pk, "key": key}
    outbox_add(kind="window_check", payload=payload, about=f"quote:{quote.pk}", summary=quote.number, at=at)
    return False


def window_check_make(*, row: Outbox, at: datetime) -> None:
    """Work out an answer that was asked for; nothing where it has been asked anew since."""
    wanted = WindowCheck.objects.filter(quote=row.payload["quote"], key=row.payload["key"], answered_at=None)
    check = wanted.select_related("quote__inquiry").first()
    if check is None:
        return
    quote, inquiry = check.quote, check.quote.inquiry
    first, last = days_around(inquiry.window_start)
    try:
        book = book_current()
    except CannotPrice:
        wanted.delete()
        return
    until = time.monotonic() + SECONDS
    kitchen = kitchen_problem(book, first=first, last=last)
    plan = plan_days(kitchen, now=at, enough=lambda: time.monotonic() > until)
    asked = asked_for(quote, at)
    leaves = leaving(inquiry.window_start, inquiry)
    limits = Limits(tries=TRIES, enough=lambda: time.monotonic() > until)
    trip, may_leave = trip_of(inquiry), partial(_may_leave, kitchen, inquiry)
    found = promise(plan, asked.units, leaves, now=at, may_leave=may_leave, trip=trip, limits=limits)
    wanted.update(answer=answered(found, plan, trip, asked).written(), answered_at=at)


def _may_leave(kitchen: KitchenProblem, inquiry: Inquiry, window: Leaving) -> bool:
    """Return whether something may be handed over then: in the stated hours, else by day.

    What is picked up may be until the end of as long a window; of what is delivered the leaving counts.
    """
    zone, collected = kitchen.days.clock.zone, inquiry.hand_over == Inquiry.HandOver.PICKUP
    until = window[0] + (inquiry.window_end - inquiry.window_start if collected else timedelta(0))
    begin, end = window[0].astimezone(zone), until.astimezone(zone)
    hours = hand_over_hours(kitchen.book) or (working_hours(kitchen.book) if collected else None)
    spans = [(DAY_BEGINS, DAY_ENDS)] if hours is None else hours.of_day(begin.date())
    return begin.date() == end.date() and any(opens <= begin.time() and end.time() <= closes for opens, closes in spans)
