"""When the desserts of a table can be ready, against the window asked for; in words."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from catalog import display
from catalog.models import Kitchen
from catalog.selectors.kitchen import kitchen as kitchen_now
from catalog.selectors.timing import timing_of, working_hours
from costing.book import Book
from costing.brief import Brief
from costing.engine import estimate
from costing.estimates import Estimate
from costing.spans import Minutes, minute_of, moment_of
from costing.timing import Answer, Reason
from costing.windows import check_window
from orders.errors import WindowTooEarly
from orders.models import Enquiry, Quote

#: Windows are offered from seven in the morning to ten at night; one asked for outside is answered all the same.
DAY_BEGINS, DAY_ENDS = time(7), time(22)


@dataclass(frozen=True, slots=True)
class WindowAnswer:
    """Whether the window can be kept, in words; ``instead`` says what works."""

    fits: bool
    sentence: str
    instead: str = ""


def window_answer(
    book: Book, found: Estimate, *, enquiry: Enquiry, kitchen: Kitchen, now: datetime
) -> WindowAnswer | None:
    """Return whether an order can be ready by its window; None where it cannot be told: past, or no hours entered.

    Other orders are not counted: whether ovens and shelves are free is asked of the plan.
    """
    hours = working_hours(kitchen)
    if hours is None or enquiry.window_start <= now:
        return None
    travel = _travel(enquiry)
    timing = timing_of(book, found, hours, leaves=enquiry.window_start - timedelta(minutes=travel), now=now)
    answer = check_window(
        timing,
        minute_of(enquiry.window_start),
        minute_of(enquiry.window_end),
        travel=travel,
        whole=enquiry.hand_over == Enquiry.HandOver.PICKUP,
        sociable=_daytime(enquiry.window_start, ZoneInfo(kitchen.time_zone)),
    )
    return _in_words(answer, ZoneInfo(kitchen.time_zone), minute_of(enquiry.window_start))


def _daytime(around: datetime, zone: ZoneInfo) -> Minutes:
    """Return the hours in which a hand-over is offered, three weeks either side: nobody collects a cake at one."""
    local = around.astimezone(zone)
    spans = []
    for days in range(-21, 22):
        first, last = (
            datetime.combine(local.date() + timedelta(days=days), hour, tzinfo=zone) for hour in (DAY_BEGINS, DAY_ENDS)
        )
        spans.append((minute_of(first), minute_of(last)))
    return Minutes.of(spans)


def _travel(enquiry: Enquiry) -> int:
    """Return the minutes between leaving the kitchen and handing over: the way, and setting the table up."""
    if enquiry.hand_over != Enquiry.HandOver.DELIVERY:
        return 0
    return ceil((enquiry.minutes or 0) + (enquiry.setup_minutes or 0))


def _in_words(answer: Answer, zone: ZoneInfo, asked: int) -> WindowAnswer:
    if answer.ok:
        if answer.latest_start is None:
            return WindowAnswer(True, "The window can be kept.")
        begins = display.moment(moment_of(answer.latest_start, zone))
        return WindowAnswer(True, f"The window can be kept. Work begins {begins} at the latest, other orders aside.")
    between = answer.nearest is not None and answer.nearest[0] < asked
    return WindowAnswer(False, _why(answer.reason, zone, between=between), _instead(answer, zone))


def _why(reason: Reason | None, zone: ZoneInfo, *, between: bool) -> str:
    """Say what is in the way; ``between`` when an earlier window works, so that "not before" would be untrue."""
    if reason is None or reason.minute is None:
        what = reason.product if reason else "The table"
        return f"{what} cannot be ready within three weeks: a step of it does not fit your working hours."
    moment = display.moment(moment_of(reason.minute, zone))
    if reason.kind == "not_after":
        return f"Not after {moment}: {reason.product} keeps no longer."
    if between:
        return f"Not then: {reason.product} made earlier keeps no longer, and is ready again from {moment}."
    if reason.step and reason.start is not None and reason.end is not None:
        span = display.window(moment_of(reason.start, zone), moment_of(reason.end, zone))
        return f"Not before {moment}: {reason.product} needs “{reason.step}”, {span}."
    return f"Not before {moment}: {reason.product} is not ready earlier."


def _instead(answer: Answer, zone: ZoneInfo) -> str:
    if answer.nearest is None:
        return "No window in the next three weeks works."
    start, end = (moment_of(minute, zone) for minute in answer.nearest)
    return f"{display.window(start, end)} works."


def window_check(at: datetime) -> Callable[[Quote, Brief, Book], None]:
    """Return the check that refuses, at a moment, to send a window that cannot be kept.

    The check raises WindowTooEarly with the reason and the nearest window that works.
    """

    def check(quote: Quote, brief: Brief, book: Book) -> None:
        found = estimate(book, brief, warn=False)
        answer = window_answer(book, found, enquiry=quote.enquiry, kitchen=kitchen_now(), now=at)
        if answer is not None and not answer.fits:
            raise WindowTooEarly(reason=answer.sentence, instead=answer.instead)

    return check
