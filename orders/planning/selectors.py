"""What is known about the window of a draft, beside what is promised."""

import hashlib
import json
from datetime import date, datetime, timedelta
from typing import Any

from catalog.book.selectors import book_current, book_revision
from costing.plan.verdicts import IMPOSSIBLE
from orders.orders.models import Order
from orders.planning.answers import WindowAnswered, read
from orders.planning.models import WindowCheck
from orders.planning.problem import AFTER, BEFORE, KitchenProblem, kitchen_problem, leaving
from orders.planning.reserved import plan_row, reserved_quotes
from orders.planning.usual import usual_units
from orders.quotes.models import Quote
from orders.records.errors import WindowTaken
from orders.records.states import ORDERS_AHEAD


def days_around(moment: datetime) -> tuple[date, date]:
    """Return the first and the last day of leaving of what may be in the way of an event."""
    return (moment - BEFORE).date(), (moment + AFTER).date()


def kitchen_days(first: date, last: date, at: datetime | None = None) -> KitchenProblem:
    """Return what is promised to leave between two days, by the Book as it is now, with the days kept ``at`` a moment.

    Raises
    ------
    CannotPrice
        When the catalog has an error.
    """
    reserved = [] if at is None else reserved_quotes(plan_row(), at)
    return kitchen_problem(book_current(), first=first, last=last, reserved=reserved)


def check_beside(quote: Quote, at: datetime) -> None:
    """Refuse a quote whose window was found impossible beside what is promised.

    Raises
    ------
    WindowTaken
        When an answer about just this says so.
    """
    found = window_answered(quote, at)
    if found is not None and not found.usual and found.verdict == IMPOSSIBLE:
        raise WindowTaken(what=str(quote))


def check_key(quote: Quote, at: datetime) -> str:
    """Return what stands for all that an answer about a quote's window rests on.

    Four queries, and two more where nothing is chosen yet.

    It is another one each day: what can still be begun changes with time.
    """
    inquiry = quote.inquiry
    units: list[tuple[int | str, int]] = sorted((line.product_id, line.units) for line in quote.lines.all())
    units = units or sorted(usual_units(inquiry, at).items())
    first, last = days_around(inquiry.window_start)
    start, end = (inquiry.window_start - BEFORE - timedelta(days=1), inquiry.window_end + AFTER + timedelta(days=1))
    rows = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=start, window_start__lt=end)
    rows = rows.exclude(quote__number=quote.number)
    promised = sorted(rows.values_list("pk", "status", "window_start", "window_end"))
    window = [moment.isoformat() for moment in (*leaving(inquiry.window_start, inquiry), inquiry.window_end)]
    away = [inquiry.hand_over, inquiry.minutes, inquiry.setup_minutes, inquiry.crew]
    reserved = [one.pk for one in reserved_quotes(plan_row(), at, beside=quote.number)]
    parts: list[Any] = [book_revision(), at.date(), first, last, units, window, away, promised, reserved]
    if quote.window_chosen is not None:
        parts.append(quote.window_chosen)
    return hashlib.sha256(json.dumps(parts, default=str).encode()).hexdigest()


def window_check(quote: Quote, at: datetime) -> WindowCheck | None:
    """Return the check of a quote's window that was asked for as it is now, answered or not."""
    return WindowCheck.objects.filter(quote=quote, key=check_key(quote, at)).first()


def window_answered(quote: Quote, at: datetime) -> WindowAnswered | None:
    """Return the answer about a quote's window, if one was worked out for just this."""
    found = window_check(quote, at)
    return None if found is None or found.answered_at is None else read(found.answer)
