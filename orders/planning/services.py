"""Checking a draft's window beside what is promised: asked for by a page, worked out by the outbox."""

import time
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import Final

from django.db import transaction

from catalog.book.selectors import book_current
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.records.errors import CannotPrice
from costing.plan.promises import Limits
from costing.plan.verdicts import AS_PLANNED
from orders.planning.answers import answered
from orders.planning.leaving_hours import may_leave
from orders.planning.models import WindowCheck
from orders.planning.plans import plan_days
from orders.planning.problem import kitchen_problem, leaving, trip_of
from orders.planning.promise import near, promise, windows_work
from orders.planning.reserved import plan_row, reserved_quotes
from orders.planning.selectors import check_key, days_around
from orders.planning.usual import asked_for
from orders.quotes.models import Quote

#: How long a check may look for a place for everything [s], and how often it takes other loads out for that.
SECONDS: Final = 20.0
TRIES: Final = 40


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


def window_check_make(*, row: Outbox, at: datetime, seconds: float = SECONDS) -> None:
    """Work out an answer that was asked for, in so many seconds; nothing where it has been asked anew since."""
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
    until = time.monotonic() + seconds
    reserved = reserved_quotes(plan_row(), at, beside=quote.number)
    kitchen = kitchen_problem(book, first=first, last=last, reserved=reserved, besides=quote.number)
    plan = plan_days(kitchen, now=at, enough=lambda: time.monotonic() > until)
    asked = asked_for(quote, at)
    leaves, trip = leaving(inquiry.window_start, inquiry), trip_of(inquiry)
    limits = Limits(tries=TRIES, enough=lambda: time.monotonic() > until)
    able = partial(may_leave, kitchen, inquiry)
    found = promise(plan, asked.units, leaves, now=at, may_leave=able, trip=trip, limits=limits)
    answer = answered(found, plan, trip, asked)
    if not asked.usual:
        # By the clock, so that a day later is the same hour also where clocks change in between.
        local = (leaves[0].astimezone(kitchen.days.clock.zone), leaves[1].astimezone(kitchen.days.clock.zone))
        others = near(local, now=at, may_leave=able)
        verdicts = windows_work(plan, asked.units, others, now=at, trip=trip)
        works = tuple(one for one, verdict in zip(others, verdicts, strict=True) if verdict == AS_PLANNED)
        answer = replace(answer, near=works)
    wanted.update(answer=answer.written(), answered_at=at)
