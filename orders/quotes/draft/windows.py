"""When the desserts of a table can be ready, and how long they may be out, against the window asked for; in words."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from catalog.cooling.selectors import ProductCold, cold_times
from catalog.cooling.timing import timing_of
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.web import display
from costing.contract import Book, Brief, Estimate
from costing.estimating.engine import estimate
from costing.timing.chains import working_hours
from costing.timing.schedule import Answer, Reason
from costing.timing.spans import Minutes, minute_of, moment_of
from costing.timing.windows import check_window
from orders.inquiries.models import Inquiry
from orders.inquiries.travel import travel_minutes
from orders.quotes.draft.cooling import cooling_page, never_cold, out_too_long
from orders.quotes.models import Quote
from orders.records.errors import NeverCold, OrderError, OutTooLong, WindowTooEarly

#: Windows are offered from seven in the morning to ten at night; one asked for outside is answered all the same.
DAY_BEGINS, DAY_ENDS = time(7), time(22)


@dataclass(frozen=True, slots=True)
class WindowAnswer:
    """Whether the window can be kept, in words; ``instead`` says what works, ``link`` is the page that says more.

    ``refusal`` is what sending it would raise.
    """

    fits: bool
    sentence: str
    instead: str = ""
    link: str = ""
    refusal: type[OrderError] = WindowTooEarly

    @property
    def word(self) -> str:
        """What it is about."""
        return _WORDS[self.refusal]


_WORDS: Final[dict[type[OrderError], str]] = {WindowTooEarly: "Time", NeverCold: "Cold", OutTooLong: "Out of the cold"}


def window_answer(
    book: Book,
    found: Estimate,
    *,
    inquiry: Inquiry,
    kitchen: Kitchen,
    now: datetime,
    cold: Mapping[str, ProductCold],
) -> WindowAnswer | None:
    """Return whether an order can be ready by its window; None where it cannot be told: past, or no hours entered.

    ``cold`` are its products' ``cold_times``: what never gets cold, or would be out of the cold for too long, is
    refused whatever the hours. Other orders are not counted: whether ovens and shelves are free is asked of the plan.
    """
    if inquiry.window_start <= now:
        return None
    refused = _cold_refusal(book, inquiry, kitchen, cold)
    hours = working_hours(book)
    if refused is not None or hours is None:
        return refused
    travel = travel_minutes(inquiry)
    leaves = inquiry.window_start - timedelta(minutes=travel)
    timing = timing_of(book, found, hours, leaves=leaves, now=now, cold=cold)
    answer = check_window(
        timing,
        minute_of(inquiry.window_start),
        minute_of(inquiry.window_end),
        travel=travel,
        whole=inquiry.hand_over == Inquiry.HandOver.PICKUP,
        sociable=_daytime(inquiry.window_start, ZoneInfo(kitchen.time_zone)),
    )
    return _in_words(answer, ZoneInfo(kitchen.time_zone), minute_of(inquiry.window_start))


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


def _cold_refusal(
    book: Book, inquiry: Inquiry, kitchen: Kitchen, cold: Mapping[str, ProductCold]
) -> WindowAnswer | None:
    """Refuse what no window mends: a dessert that never gets cold, or one that would be out of the cold too long."""
    never = never_cold(cold, book)
    if never is not None:
        said, takes, product = never
        return WindowAnswer(False, said, takes, cooling_page(product), NeverCold)
    long = out_too_long(cold, book, inquiry, kitchen)
    if long is not None:
        return WindowAnswer(False, *long, refusal=OutTooLong)
    return None


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
        return f"Not before {moment}: {reason.product} needs “{reason.step}”, {span}{_until(reason)}."
    return f"Not before {moment}: {reason.product} is not ready earlier."


def _until(reason: Reason) -> str:
    """Say that cooling makes the step as long as it is, where it does; else the stated time speaks for itself."""
    if reason.until_c is None:
        return ""
    return f": until its middle is at {display.temperature(reason.until_c)} at the slow end of the estimate"


def _instead(answer: Answer, zone: ZoneInfo) -> str:
    if answer.nearest is None:
        return "No window in the next three weeks works."
    start, end = (moment_of(minute, zone) for minute in answer.nearest)
    return f"{display.window(start, end)} works."


def window_check(at: datetime) -> Callable[[Quote, Brief, Book], None]:
    """Return the check that refuses, at a moment, to send a window that cannot be kept.

    The check raises WindowTooEarly with the reason and the nearest window that works, or NeverCold or OutTooLong with
    the reason and what works.
    """

    def check(quote: Quote, brief: Brief, book: Book) -> None:
        found = estimate(book, brief, warn=False)
        cold = cold_times([line.product for line in brief.lines], book)
        answer = window_answer(book, found, inquiry=quote.inquiry, kitchen=kitchen_now(), now=at, cold=cold)
        if answer is not None and not answer.fits:
            raise answer.refusal(reason=answer.sentence, instead=answer.instead)

    return check
