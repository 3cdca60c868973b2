"""Notes in histories when what the owner recorded about cooling counts no more, and by what it was put out of force."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Q

from costing.contract import Book
from orders.cooling_log.quoted import quoted_together
from orders.cooling_log.reasons import REASON_GIVEN
from orders.cooling_log.selectors import CoolingMark, book_now, cooling_marks
from orders.orders.models import Order
from orders.quotes.cooling.selectors import ruled_table, table_units
from orders.quotes.cooling.shared import Void
from orders.quotes.models import CoolingOverride, Quote
from orders.quotes.void_words import REASON_VOID
from orders.records.actors import CLOCK
from orders.records.models import AuditEntry
from orders.records.states import ORDERS_AHEAD, QuoteStatus
from orders.records.transitions import audit


def reasons_note(*, at: datetime) -> int:
    """Note in the histories of orders ahead and of sent quotes what was put out of force; return in how many.

    What is noted once is not noted again. Two queries where nothing was recorded.
    """
    book = book_now()
    if book is None:
        return 0
    noted = 0
    orders = list(_orders())
    marks = cooling_marks(orders, book)
    for order in orders:
        noted += _note(order, [item for mark in marks.get(order.pk, {}).values() for item in _of_mark(mark)], at)
    for quote in _quotes():
        noted += _note(quote, list(_of_quote(quote, book)), at)
    return noted


def _orders() -> Iterable[Order]:
    given = AuditEntry.objects.filter(document="order", event=REASON_GIVEN).values("document_pk")
    measured = CoolingOverride.objects.values("quote")
    rows = Order.objects.filter(Q(pk__in=given) | Q(quote__in=measured), status__in=ORDERS_AHEAD)
    return rows.select_related("customer", "quote__inquiry").prefetch_related("lines__product")


def _quotes() -> Iterable[Quote]:
    given = AuditEntry.objects.filter(document="quote", event=REASON_GIVEN).values("document_pk")
    measured = CoolingOverride.objects.values("quote")
    rows = Quote.objects.filter(Q(pk__in=given) | Q(pk__in=measured), status=QuoteStatus.SENT)
    return rows.select_related("inquiry__customer").prefetch_related("lines__product")


def _of_mark(mark: CoolingMark) -> Iterator[dict[str, Any]]:
    if mark.void is not None and not mark.settled:
        yield _together(mark.name, mark.void)
    if mark.changed and mark.override is not None and not mark.settled:
        yield _measured(mark.name, mark.override)


def _of_quote(quote: Quote, book: Book) -> Iterator[dict[str, Any]]:
    units = table_units(quote)
    for shared in quoted_together(quote, units, book):
        if shared.void is not None:
            yield _together(shared.name, shared.void)
    ruled = ruled_table(quote, units, book)
    for one in ruled.unrecorded:
        if (override := ruled.override(one)) is not None:
            yield _measured(one.name, override)


def _together(name: str, void: Void) -> dict[str, Any]:
    facts = {"reason": void.given.reason, "by": void.given.by, "at": void.given.at.isoformat()}
    return {"of": f"entry:{void.given.entry}", "name": name, "cause": void.by, "numbers": list(void.numbers), **facts}


def _measured(name: str, override: CoolingOverride) -> dict[str, Any]:
    facts = {"reason": override.measured, "by": override.recorded_by, "at": override.recorded_at.isoformat()}
    return {"of": f"override:{override.pk}", "name": name, "cause": "measure", "numbers": [], **facts}


@transaction.atomic(durable=True)
def _note(document: Order | Quote, found: Sequence[dict[str, Any]], at: datetime) -> bool:
    if not found:
        return False
    type(document).objects.select_for_update().get(pk=document.pk)
    name = "order" if isinstance(document, Order) else "quote"
    entries = AuditEntry.objects.filter(document=name, document_pk=document.pk, event=REASON_VOID)
    known = {item["of"] for entry in entries for item in entry.params["items"]}
    new = [item for item in found if item["of"] not in known]
    if new:
        audit(document, REASON_VOID, by=CLOCK, at=at, params={"items": new})
    return bool(new)
