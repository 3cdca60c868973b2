"""An order as it is and as it would be, beside each other: facts with the signed difference in whole minor units."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any, Final

from catalog.records.reasons import Reason
from orders.documents.content import Charge, Line, QuoteContent
from orders.quotes.changes import LESS, changes_between

#: Changes of a revision that have no row.
OTHERS: Final = frozenset({"contains", "may_contain", *LESS, "holding", "cancellation_terms", "balance_terms"})
#: What of an event stands beside each other, in this order.
EVENT: Final = ("title", "window", "hand_over", "place", "guests")


@dataclass(frozen=True, slots=True)
class Beside:
    """One row: what it is (``kind``, and its ``name`` where it has one), before and after, None where it is not there.

    ``change_minor`` is the signed difference of the amounts; None where it is no money.
    """

    kind: str
    name: str
    was: Any
    now: Any
    change_minor: int | None = None


def differences(before: QuoteContent, after: QuoteContent) -> tuple[Beside, ...]:
    """Return the rows that differ, in the order of the quote page, and the total in any case."""
    return (
        *(one for one in _event(before, after) if _clocked(one.was) != _clocked(one.now)),
        *_needs(before, after),
        *_lines(before, after),
        *_charges(before, after),
        *_sums(before, after),
    )


def _event(before: QuoteContent, after: QuoteContent) -> Iterator[Beside]:
    yield Beside("customer", "", before.customer, after.customer)
    for name in EVENT:
        was, now = (_of_event(one, name) for one in (before, after))
        yield Beside(name, "", was, now)


def _of_event(content: QuoteContent, name: str) -> Any:
    event = content.event
    return (event.window_start, event.window_end) if name == "window" else getattr(event, name)


def _clocked(value: Any) -> Any:
    """Return a window as clocks show it: a corrected time zone of the kitchen is no new time of the event."""
    return tuple(one.replace(tzinfo=None) for one in value) if isinstance(value, tuple) else value


def _needs(before: QuoteContent, after: QuoteContent) -> Iterator[Beside]:
    was, now = (_needed(one) for one in (before, after))
    if was != now:
        yield Beside("needs", "", was, now)


def _needed(content: QuoteContent) -> tuple[tuple[str, int | None], ...]:
    counts = {need.need: need.guests for need in content.needs or ()}
    return tuple((code, counts.get(code)) for code in content.event.allergies)


def _lines(before: QuoteContent, after: QuoteContent) -> Iterator[Beside]:
    old: Mapping[str, Line] = {line.product: line for line in before.lines}
    new: Mapping[str, Line] = {line.product: line for line in after.lines}
    for code in dict.fromkeys([*new, *old]):
        was, now = old.get(code), new.get(code)
        amounts = [0 if one is None else one.amount_minor for one in (was, now)]
        either = now or was
        if either is not None and _priced(was) != _priced(now):
            yield Beside("line", either.name, was, now, amounts[1] - amounts[0])


def _priced(line: Line | None) -> tuple[int, int, int] | None:
    return None if line is None else (line.units, line.unit_price_minor, line.amount_minor)


def _charges(before: QuoteContent, after: QuoteContent) -> Iterator[Beside]:
    old, new = (_charged(one) for one in (before, after))
    for key in dict.fromkeys([*new, *old]):
        was, now = old.get(key), new.get(key)
        if was != now:
            yield Beside("charge", key[1], was, now, (now or 0) - (was or 0))


def _charged(content: QuoteContent) -> dict[tuple[str, str], int]:
    """Return extras and charges by kind and name; a discount by its kind, whatever its rate."""
    found: dict[tuple[str, str], int] = {}
    rows: list[Charge] = [*content.extras, *content.shown_charges]
    for row in rows:
        found[row.kind, row.name] = found.get((row.kind, row.name), 0) + row.amount_minor
    return found


def _sums(before: QuoteContent, after: QuoteContent) -> Iterator[Beside]:
    if after.prices == "net" and before.tax_minor != after.tax_minor:
        yield Beside("tax", after.tax_name, before.tax_minor, after.tax_minor, after.tax_minor - before.tax_minor)
    yield Beside("total", "", before.total_minor, after.total_minor, after.total_minor - before.total_minor)
    if before.deposit_minor != after.deposit_minor:
        change = after.deposit_minor - before.deposit_minor
        yield Beside("deposit", "", before.deposit_minor, after.deposit_minor, change)
    for place, (due, dues) in enumerate(zip_longest(before.payments_before, after.payments_before), start=1):
        if due != dues:
            change = (dues.amount_minor if dues else 0) - (due.amount_minor if due else 0)
            yield Beside("payment", str(place), due, dues, change)
    if after.deposit_minor and (before.balance_minor or after.balance_minor):
        was, now = before.balance_minor, after.balance_minor
        yield Beside("balance", "", was, now, now - was)


def other_changes(before: QuoteContent, after: QuoteContent) -> list[Reason]:
    """Return what differs besides the rows: what desserts hold, how they are kept, the terms."""
    return [change for change in changes_between(before, after) if change.code in OTHERS]
