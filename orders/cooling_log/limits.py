"""The limit of time out of the cold in force today, against what a quote was sent with and an order's window."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from catalog.book.selectors import book_unpriced
from catalog.cooling.keeping import cold_hold_limits
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.kitchen.models import Kitchen
from catalog.records.errors import CannotPrice
from orders.documents.content import Line, QuoteContent, content_read
from orders.orders.models import Order
from orders.quotes.draft.cooling import out_from

#: Code of a product -> how it is kept today, where a time out of the cold is stated.
LimitsNow = Mapping[str, ProductCold]


def limits_now(codes: Collection[str]) -> LimitsNow:
    """Return what has a stated time out of the cold today, also where the catalog cannot price.

    None where something that one of them consists of is wrong itself.
    """
    if not codes:
        return {}
    try:
        book = book_unpriced(codes)
    except CannotPrice:
        return {}
    cold = cold_times(codes, book)
    return {code: one for code, one in cold.items() if one.out is not None and one.out.clause is not None}


def paper_limits(codes: Collection[str]) -> LimitsNow:
    """Return the same for what the kitchen and the crew read: also for what is kept cold because nothing says how."""
    if not codes:
        return {}
    try:
        book = book_unpriced(codes)
    except CannotPrice:
        return {}
    return {**cold_hold_limits(codes, book), **limits_now(codes)}


def is_shorter(line: Line, cold: ProductCold | None) -> bool:
    """Return whether today's limit is shorter than what was sent, or no rule stated one then."""
    if cold is None or cold.out is None:
        return False
    if line.out_minutes is None or line.until_warm:
        return True
    return line.out_minutes - (1 if line.out_under else 0) > cold.out.longest_minutes


def with_limit(line: Line, cold: ProductCold | None) -> Line:
    """Return a line with today's limit where that is shorter: without the sentence that states the longer one."""
    if cold is None or cold.out is None or not is_shorter(line, cold):
        return line
    # The sentence about the limit is the last line of the text; what the owner wrote stands before it.
    own = line.holding if line.out_minutes is None else "\n".join(line.holding.splitlines()[:-1])
    limit = cold.out
    return replace(
        line, holding=own, out_minutes=limit.allowed_minutes, out_under=limit.under, until_warm=False, serve_by=None
    )


def without_limit(line: Line, *, stated: bool) -> Line:
    """Return a line without any limit; ``stated`` where the sentence of its limit is the last line of its text."""
    own = line.holding
    if stated and line.out_minutes is not None:
        own = "\n".join(own.splitlines()[:-1])
    return replace(line, holding=own, out_minutes=None, out_under=False, until_warm=False, serve_by=None)


@dataclass(frozen=True, slots=True)
class LateLimit:
    """What of an order has to be eaten before its window ends, by a limit that is shorter than what was sent [min]."""

    names: tuple[str, ...]
    minutes: int
    until: datetime
    window_end: datetime


def late_limits(orders: Sequence[Order], home: Kitchen, contents: Sequence[QuoteContent] = ()) -> dict[int, LateLimit]:
    """Return by order where a limit entered since no longer fits the window; deliveries only, as planned to leave."""
    contents = contents or [content_read(order.quote.content) for order in orders]
    limits = limits_now({line.product for content in contents for line in content.lines})
    found = {}
    for order, content in zip(orders, contents, strict=True):
        late = _late(order, content, limits, home)
        if late is not None:
            found[order.pk] = late
    return found


def _late(order: Order, content: QuoteContent, limits: LimitsNow, home: Kitchen) -> LateLimit | None:
    leaves = out_from(order.quote.inquiry, home).moment
    lines = [line for line in content.lines if is_shorter(line, limits.get(line.product))]
    if leaves is None or not lines:
        return None
    minutes = {line.name: out.longest_minutes for line in lines if (out := limits[line.product].out) is not None}
    shortest = min(minutes.values())
    until = leaves + timedelta(minutes=shortest)
    names = tuple(name for name, most in minutes.items() if leaves + timedelta(minutes=most) < order.window_end)
    return LateLimit(names, shortest, until, order.window_end) if names else None
