"""Check whether the desserts of a table can be ready and stay cold for the window requested."""

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from catalog.cooling.planned import BEFORE, batches_without_time, timing_of
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.kitchen.models import Kitchen
from catalog.records.reasons import Reason
from costing.contract import Book, Estimate
from costing.timing.chains import hand_over_hours, working_hours
from costing.timing.schedule import Answer, Obstacle, Timing
from costing.timing.spans import Minutes, WorkingHours, minute_of, moment_of
from costing.timing.windows import check_window
from orders.inquiries.models import Inquiry
from orders.quotes.draft.cooling import ColdRefusal, never_cold, out_too_long
from orders.quotes.models import Quote
from orders.records.errors import NeverCold, OrderError, OutsideHours, OutTooLong, WindowTooEarly

#: Windows are proposed between 7:00 and 22:00; a window requested outside these hours is checked all the same.
DAY_BEGINS, DAY_ENDS = time(7), time(22)


class InWindow(Protocol):
    """Whatever has a window."""

    @property
    def window_start(self) -> datetime: ...

    @property
    def window_end(self) -> datetime: ...


@dataclass(frozen=True, slots=True)
class WindowAnswer:
    """Whether the window works, and why or why not; ``instead`` is what works otherwise.

    ``product_id`` is the product whose cooling page has details, ``refusal`` is what sending the quote would raise;
    ``begins`` is the latest start of work where it is known.
    """

    fits: bool
    reason: Reason
    instead: Reason | None = None
    product_id: int | None = None
    refusal: type[OrderError] = WindowTooEarly
    begins: datetime | None = None


def window_answer(
    book: Book,
    found: Estimate,
    *,
    inquiry: Inquiry,
    kitchen: Kitchen,
    now: datetime,
    cold: Mapping[str, ProductCold],
) -> WindowAnswer | None:
    """Check whether an order can be ready by its window, and be handed over then.

    None if that is unknown: in the past, or no working hours are entered. ``cold`` are its products' ``cold_times``:
    one that may never get cold, or would be out of the cold too long, is refused whatever the hours. Other orders are
    ignored: whether ovens and shelves are free is for the plan to say.
    """
    if inquiry.window_start <= now:
        return None
    refused = _cold_refusal(book, inquiry, kitchen, cold)
    if refused is not None:
        return refused
    hours, hand_over = working_hours(book), _hand_over(book, inquiry)
    travel = inquiry.travel_minutes
    leaves = inquiry.window_start - timedelta(minutes=travel)
    if hours is not None:
        timing = timing_of(book, found, hours, leaves=leaves, now=now, cold=cold)
    elif hand_over is not None:
        # When it can be ready is not known; when it can be handed over is.
        timing = Timing({}, (), hand_over, minute_of(max(now, leaves - BEFORE)))
    else:
        return None
    start, end = minute_of(inquiry.window_start), minute_of(inquiry.window_end)
    # The way and the setting up come before the window: what is delivered leaves for its start, on every sheet.
    collected = inquiry.hand_over == Inquiry.HandOver.PICKUP
    open_ = None if hand_over is None else hand_over.between(min(timing.not_before, minute_of(leaves)), timing.last)
    answer = check_window(
        timing,
        start,
        end if collected else start,
        travel=travel,
        whole=collected,
        sociable=_daytime(inquiry.window_start, ZoneInfo(kitchen.time_zone)),
        hand_over=open_,
    )
    if answer.nearest is not None:
        answer = replace(answer, nearest=(answer.nearest[0], answer.nearest[0] + end - start))
    if answer.reason is not None and answer.reason.kind == "closed" and hand_over is not None:
        return _outside_hours(book, inquiry, hand_over, answer, ZoneInfo(kitchen.time_zone))
    if hours is None:
        return None
    answered = _answered(answer, ZoneInfo(kitchen.time_zone), start)
    unknown = batches_without_time(book, found) if answered.fits else []
    return replace(answered, reason=Reason("time_not_known", {"batches": unknown})) if unknown else answered


def _hand_over(book: Book, inquiry: Inquiry) -> WorkingHours | None:
    """Return when it may be picked up or leave; where nothing says so, a pickup needs somebody there."""
    collected = inquiry.hand_over == Inquiry.HandOver.PICKUP
    return hand_over_hours(book) or (working_hours(book) if collected else None)


def _outside_hours(book: Book, inquiry: Inquiry, hours: WorkingHours, answer: Answer, zone: ZoneInfo) -> WindowAnswer:
    """Refuse a window for the hours of its day, which the reason states; of a delivery that on which it leaves."""
    leaves = (inquiry.window_start - timedelta(minutes=inquiry.travel_minutes)).astimezone(zone)
    day = leaves.date()
    closed = next((one for one in book.closed or () if one.date == day), None)
    spans = [[datetime.combine(day, clock, zone) for clock in span] for span in hours.of_day(day)]
    params: dict[str, Any] = {"day": day, "hours": spans, "leaves": leaves}
    if closed is not None:
        code = "closed_for" if closed.reason else "closed_day"
        reason = Reason(code, {"day": day, "why": closed.reason})
    elif not spans:
        reason = Reason("no_hours_that_day" if book.hand_over_hours else "nobody_there", {"day": day})
    elif inquiry.hand_over == Inquiry.HandOver.PICKUP:
        reason = Reason("outside_pickup_hours", params)
    else:
        reason = Reason("leaves_outside_hours", params)
    return WindowAnswer(False, reason, _instead(answer, zone), refusal=OutsideHours)


def _daytime(around: datetime, zone: ZoneInfo) -> Minutes:
    """Return the hours in which a hand-over is proposed, three weeks either side, so that none is proposed at night."""
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
    """Return the refusal that applies to any window: a dessert may never get cold, or is out of the cold too long."""
    never = never_cold(cold, book)
    if never is not None:
        return _refused(never, NeverCold)
    long = out_too_long(cold, book, inquiry, kitchen)
    return None if long is None else _refused(long, OutTooLong)


def _refused(found: ColdRefusal, refusal: type[OrderError]) -> WindowAnswer:
    return WindowAnswer(False, found.reason, found.instead, found.product_id, refusal)


def _answered(answer: Answer, zone: ZoneInfo, asked: int) -> WindowAnswer:
    """Convert an answer's minutes to the kitchen's time."""
    if answer.ok:
        if answer.latest_start is None:
            return WindowAnswer(True, Reason("window_kept"))
        begins = moment_of(answer.latest_start, zone)
        return WindowAnswer(True, Reason("window_kept_from", {"begins": begins}), begins=begins)
    between = answer.nearest is not None and answer.nearest[0] < asked
    return WindowAnswer(False, _in_the_way(answer.reason, zone, between=between), _instead(answer, zone))


def _in_the_way(found: Obstacle | None, zone: ZoneInfo, *, between: bool) -> Reason:
    """Return the reason; ``between`` when an earlier window works, so that "not before" would be wrong."""
    if found is None or found.minute is None:
        return Reason("never_ready", {"product": found.product if found else Reason("the_table")})
    params: dict[str, Any] = {"product": found.product, "moment": moment_of(found.minute, zone)}
    if found.kind == "not_after":
        return Reason("not_after", params)
    if between:
        return Reason("not_between", params)
    if not found.step or found.start is None or found.end is None:
        return Reason("not_before", params)
    params |= {"step": found.step, "span": (moment_of(found.start, zone), moment_of(found.end, zone))}
    if found.until_c is None:
        return Reason("not_before_step", params)
    return Reason("not_before_cold", params | {"limit_c": found.until_c})


def _instead(answer: Answer, zone: ZoneInfo) -> Reason:
    if answer.nearest is None:
        return Reason("no_window_works")
    start, end = (moment_of(minute, zone) for minute in answer.nearest)
    return Reason("window_works", {"window": (start, end)})


def inquiry_for(inquiry: Inquiry, window: InWindow) -> Inquiry:
    """Return a copy of an inquiry for another window; it is not saved."""
    other = copy(inquiry)
    other.window_start, other.window_end = window.window_start, window.window_end
    return other


def window_of(quote: Quote, priced: Estimate, *, book: Book, kitchen: Kitchen, at: datetime) -> WindowAnswer | None:
    """Return whether the window of a priced draft works; None where that is unknown."""
    cold = cold_times({line.product: line.units for line in priced.lines}, book)
    return window_answer(book, priced, inquiry=quote.inquiry, kitchen=kitchen, now=at, cold=cold)


def check_answer(answer: WindowAnswer | None) -> None:
    """Refuse a window that does not work.

    Raises
    ------
    WindowTooEarly, OutsideHours, NeverCold, OutTooLong
        With the reason, and the nearest window that works or what works instead.
    """
    if answer is not None and not answer.fits:
        raise answer.refusal(reason=answer.reason, instead=answer.instead)
