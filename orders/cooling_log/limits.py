"""The limit of time out of the cold in force today, against what a quote was sent with and an order's window."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from catalog.book.selectors import book_unpriced
from catalog.cooling.amounts import Units
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.kitchen.models import Kitchen
from catalog.records.errors import CannotPrice
from costing.contract import Book
from orders.cooling_log.making_days import units_of
from orders.documents.agreed import content_agreed
from orders.documents.content import Line, QuoteContent
from orders.orders.models import Order
from orders.quotes.cooling.recorded_out import by_record, out_minutes_in, recorded_out
from orders.quotes.cooling.selectors import overrides_of
from orders.quotes.draft.cooling import OutFrom, out_from
from orders.quotes.draft.holding_words import unrepeated

#: Code of a product -> how it is kept today, where a time out of the cold is stated.
LimitsNow = Mapping[str, ProductCold]
#: Writes how a product is held, from when the time counts.
HoldingWords = Callable[[ProductCold, OutFrom], str]


def limits_now(tables: Sequence[Units]) -> list[LimitsNow]:
    """Return for each table what has a stated time out of the cold today, also where the catalog cannot price.

    None where something that one of them consists of is wrong itself.
    """
    codes = {code for units in tables for code in units}
    book = _book(codes) if codes else None
    return [{} if book is None else _stated(units, book) for units in tables]


def _stated(units: Units, book: Book) -> LimitsNow:
    cold = cold_times(units, book)
    return {code: one for code, one in cold.items() if one.out is not None and one.out.clause is not None}


def units_sent(content: QuoteContent) -> Units:
    """Return the units of a content by product code."""
    return {line.product: line.units for line in content.lines}


def is_shorter(line: Line, cold: ProductCold | None) -> bool:
    """Return whether today's limit is shorter than what was sent, or no rule stated one then."""
    if cold is None or cold.out is None:
        return False
    if line.out_rule is not None:
        # The owner recorded another time beside the rule of then: only a shorter rule is news.
        return line.out_rule > cold.out.longest_minutes
    if line.out_minutes is None or line.until_warm:
        return True
    return line.out_minutes - (1 if line.out_under else 0) > cold.out.longest_minutes


def with_limit(line: Line, cold: ProductCold | None) -> Line:
    """Return a line with today's limit where that is shorter: without the sentence that states the longer one."""
    if cold is None or cold.out is None or not is_shorter(line, cold):
        return line
    # The sentence about the limit is the last line of the text; what the owner wrote stands before it.
    own = (
        line.holding
        if line.out_minutes is None and line.out_rule is None
        else "\n".join(line.holding.splitlines()[:-1])
    )
    limit = cold.out
    return replace(
        line,
        holding=own,
        out_minutes=limit.allowed_minutes,
        out_under=limit.under,
        until_warm=False,
        serve_by=None,
        out_rule=None,
    )


def by_today(line: Line, cold: ProductCold | None, begins: OutFrom, words: HoldingWords) -> Line:
    """Return a line with today's limit in its text too, where that is shorter; ``words`` writes how it is held."""
    if cold is None or not is_shorter(line, cold):
        return line
    own, today = with_limit(line, cold), words(cold, begins)
    return replace(own, holding="\n".join(filter(None, (unrepeated(own.holding, today, cold), today))))


def limits_recorded(orders: Sequence[Order]) -> dict[int, LimitsNow]:
    """Return by order today's limits with those that the owner's records of it, or a product's own words, shorten.

    The orders come with their lines and products; one query.
    """
    every = overrides_of({order.quote_id for order in orders})
    found: dict[int, LimitsNow] = {}
    tables = [units_of(order) for order in orders]
    for order, units, limits in zip(orders, tables, limits_now(tables), strict=True):
        rows = every[order.quote_id].values()
        book = _book(units) if any(out_minutes_in(row.measured) for row in rows) else None
        recorded = {} if book is None else recorded_out(rows, units, book)
        found[order.pk] = {
            code: by_record(cold, None, stated=recorded.get(code)) if code in recorded else cold
            for code, cold in limits.items()
        }
    return found


def _book(codes: Collection[str]) -> Book | None:
    try:
        return book_unpriced(codes)
    except CannotPrice:
        return None


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
    contents = contents or [content_agreed(order.quote) for order in orders]
    found = {}
    for order, content, limits in zip(orders, contents, limits_now([*map(units_sent, contents)]), strict=True):
        late = _late(order, content, limits, home)
        if late is not None:
            found[order.pk] = late
    return found


def _late(order: Order, content: QuoteContent, limits: LimitsNow, home: Kitchen) -> LateLimit | None:
    leaves = out_from(order.event, home).moment
    lines = [line for line in content.lines if is_shorter(line, limits.get(line.product))]
    if leaves is None or not lines:
        return None
    minutes = {line.name: out.longest_minutes for line in lines if (out := limits[line.product].out) is not None}
    shortest = min(minutes.values())
    until = leaves + timedelta(minutes=shortest)
    names = tuple(name for name, most in minutes.items() if leaves + timedelta(minutes=most) < order.window_end)
    return LateLimit(names, shortest, until, order.window_end) if names else None
