"""Every event in every status of every document: it leads to the status in the table, or is refused without a trace."""

import itertools
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest

from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.quotes.models import BookSnapshot, Quote
from orders.records.errors import ChangedMeanwhile, OrderError, TransitionNotAllowed
from orders.records.models import AuditEntry, StatusDocument
from orders.records.presenters import sentence
from orders.records.states import (
    INVOICE_TRANSITIONS,
    ORDER_TRANSITIONS,
    QUOTE_TRANSITIONS,
    InvoiceEvent,
    InvoiceStatus,
    OrderEvent,
    OrderStatus,
    QuoteEvent,
    QuoteStatus,
)
from orders.records.transitions import allowed_events, audit, transition
from tests.refusals import refused

AT = datetime(2027, 1, 6, 14, tzinfo=UTC)
ISSUED = {"number": "I-00001", "issued_at": AT, "issued_on": date(2027, 1, 6)}

pytestmark = pytest.mark.django_db


def _quote(status: str) -> Quote:
    """Create a quote in any status."""
    customer = Customer.objects.create(name="Ida Fenwick", created_at=AT)
    inquiry = Inquiry.objects.create(
        customer=customer, title="Wedding", received_at=AT, window_start=AT, window_end=AT, place="The Old Ropewalk"
    )
    book = BookSnapshot.objects.create(sha256="b" * 64, revision=1, body="{}", created_at=AT)
    return Quote.objects.create(
        inquiry=inquiry,
        number="Q-00001",
        status=status,
        created_at=AT,
        costing_date=AT.date(),
        currency="USD",
        sent_at=AT,
        valid_until=AT,
        book=book,
        content="{}",
        content_sha256="c" * 64,
        total_minor=100_00,
    )


def _order(status: str) -> Order:
    quote = _quote("approved")
    return Order.objects.create(
        number="O-00001",
        quote=quote,
        customer=quote.inquiry.customer,
        status=status,
        title="Wedding",
        window_start=AT,
        window_end=AT,
        currency="USD",
        total_minor=100_00,
        confirmed_at=AT,
    )


def _invoice(status: str) -> Invoice:
    issued = {} if status == "draft" else ISSUED
    return Invoice.objects.create(
        order=_order("delivered"), status=status, created_at=AT, supply_on=AT.date(), currency="USD", **issued
    )


Make = Callable[[str], StatusDocument]
PRODUCT: list[tuple[Make, str, str, str | None]] = [
    (make, status, event, table[status].get(event))
    for make, table, statuses, events in (
        (_quote, QUOTE_TRANSITIONS, QuoteStatus, QuoteEvent),
        (_order, ORDER_TRANSITIONS, OrderStatus, OrderEvent),
        (_invoice, INVOICE_TRANSITIONS, InvoiceStatus, InvoiceEvent),
    )
    for status, event in itertools.product(statuses, events)
]


def _changes(document: StatusDocument) -> dict[str, Any]:
    """Return what an issued invoice must have besides its status."""
    return ISSUED if isinstance(document, Invoice) and document.status == "draft" else {}


@pytest.mark.parametrize(
    ("make", "status", "event", "after"), PRODUCT, ids=[f"{row[0].__name__[1:]}-{row[1]}-{row[2]}" for row in PRODUCT]
)
def test_an_event_moves_a_document_as_the_table_says_or_not_at_all(
    make: Make, status: str, event: str, after: str | None
) -> None:
    document = make(status)
    assert (event in allowed_events(document)) == (after is not None)
    if after is None:
        with pytest.raises(TransitionNotAllowed):
            transition(document, event, by="ada", at=AT, **_changes(document))
    else:
        transition(document, event, by="ada", at=AT, note="by phone", **_changes(document))
    assert document.status == (after or status)
    document.refresh_from_db()
    assert document.status == (after or status)
    written = AuditEntry.objects.values_list("document", "document_pk", "event", "before", "after", "by", "at", "note")
    expected = (document._meta.model_name, document.pk, event, status, after, "ada", AT, "by phone")
    assert list(written) == ([expected] if after else [])


TRANSITIONS = [
    (_quote, "sent", "approve", "decline"),
    (_order, "confirmed", "start", "cancel"),
    (_invoice, "issued", "pay_part", "pay_all"),
]


@pytest.mark.parametrize(("make", "status", "first", "second"), TRANSITIONS)
def test_of_two_movers_with_the_same_copy_the_second_is_refused(
    make: Make, status: str, first: str, second: str
) -> None:
    document = make(status)
    stale = type(document)._default_manager.get(pk=document.pk)
    transition(document, first, by="ada", at=AT)
    with pytest.raises(ChangedMeanwhile):
        transition(stale, second, by="ben", at=AT)
    assert stale.status == status, "a refused copy does not pretend"
    assert type(document)._default_manager.get(pk=document.pk).status == document.status
    assert [entry.by for entry in AuditEntry.objects.all()] == ["ada"]


def test_a_deleted_document_has_no_transition() -> None:
    quote = _quote("draft")
    Quote.objects.filter(pk=quote.pk).delete()
    with refused(ChangedMeanwhile, match=r"^Q-00001 revision 1 was changed in the meantime"):
        transition(quote, "send", by="ada", at=AT)


def test_a_transition_changes_the_document_itself_only() -> None:
    gone = _quote("draft")
    _, other = (
        Quote.objects.create(inquiry=gone.inquiry, number=number, created_at=AT, costing_date=AT.date(), currency="USD")
        for number in ("Q-00002", "Q-00003")
    )
    Quote.objects.filter(pk=gone.pk).delete()
    with pytest.raises(ChangedMeanwhile):
        transition(gone, "withdraw", by="ada", at=AT)
    transition(other, "withdraw", by="ada", at=AT)
    assert dict(Quote.objects.values_list("number", "status")) == {"Q-00002": "draft", "Q-00003": "withdrawn"}


def test_what_is_not_said_is_left_empty_on_record() -> None:
    quote = _quote("sent")
    transition(quote, "approve", by="ada", at=AT)
    audit(quote, "looked at", by="ben", at=AT)
    first, second = AuditEntry.objects.all()
    assert (first.before, first.after, first.note) == ("sent", "approved", "")
    assert (second.document, second.before, second.after, second.note) == ("quote", "", "", "")
    assert (first.params, second.params) == ({}, {})


def test_what_the_history_says_of_an_event_is_on_record_with_it() -> None:
    quote = _quote("sent")
    transition(quote, "replace", by="ada", at=AT, params={"revision": 2})
    audit(quote, "revise", by="ada", at=AT, params={"revision": 3})
    written = AuditEntry.objects.order_by("pk").values_list("event", "params")
    assert list(written) == [("replace", {"revision": 2}), ("revise", {"revision": 3})]


def test_a_guard_refuses_with_its_own_reason_and_nothing_is_written() -> None:
    class TooFewTins(OrderError):
        code = "too_few_tins"

    def guard() -> None:
        raise TooFewTins

    quote = _quote("sent")
    with pytest.raises(TooFewTins, match="too_few_tins"):
        transition(quote, "approve", by="ada", at=AT, guard=guard)
    quote.refresh_from_db()
    assert quote.status == "sent"
    assert not AuditEntry.objects.exists()


def test_a_guard_is_not_asked_when_the_table_already_refuses() -> None:
    def guard() -> None:
        raise AssertionError("asked")

    with pytest.raises(TransitionNotAllowed):
        transition(_quote("expired"), "approve", by="ada", at=AT, guard=guard)


def test_what_is_written_with_the_transition_is_on_the_row_and_on_the_object() -> None:
    quote = _quote("sent")
    transition(quote, "approve", by="ada", at=AT, answered_at=AT)
    assert quote.answered_at == AT
    quote.refresh_from_db()
    assert quote.answered_at == AT


def test_a_refusal_says_what_it_is_and_what_cannot_be_done() -> None:
    with pytest.raises(TransitionNotAllowed) as refusal:
        transition(_order("closed"), "deliver", by="ada", at=AT)
    assert sentence(refusal.value) == "O-00001 Wedding is closed, so you cannot deliver it."
