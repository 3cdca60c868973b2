"""Erasing a person: what nobody needs any more goes, what law or evidence asks for stays.

Issued documents keep the name and address that stand on them, word for word: their hashes must still fit. A quote that
came to nothing is no such document: no money and no tax follows from it, and nobody can approve it any more. Of it the
desserts, the prices and the days stay, without a person, and its PDF goes. Of immutable rows the database lets words
of a person be replaced alone, and only after the audit trail says who erases them (``orders.records.row_rules``).
"""

from collections.abc import Iterable
from datetime import datetime
from typing import Any, Final

from django.db import models, transaction

from catalog.spreadsheets.imports import customers_forget
from orders.approvals.models import Approval, Message
from orders.documents.content import sha256_of
from orders.documents.erasing import content_erased
from orders.documents.models import PreparedFile, StoredBytes
from orders.inquiries.models import Customer, Inquiry
from orders.orders.models import Order
from orders.personal_data.selectors import DataSubject, still_open, subject_of
from orders.quotes.models import CoolingOverride, Quote
from orders.records.errors import StillOpen
from orders.records.models import AuditEntry
from orders.records.row_rules import ERASE, ERASED
from orders.records.states import QuoteStatus
from orders.records.transitions import audit

#: Notes that are the kitchen's own, about its prices and its cooling.
_OWN_NOTES: Final = frozenset({"go_below_floor", "measure_instead"})


@transaction.atomic(durable=True)
def subject_erase(*, customer_id: int, by: str, at: datetime) -> None:
    """Erase what is stored about a customer, but for what issued documents and the books keep.

    The audit trail says who did it and when, and nothing of what was there.

    Raises
    ------
    Customer.DoesNotExist
        If there is none.
    StillOpen
        While a quote, an order, an invoice or a mail is not finished.
    """
    _lock(customer_id)
    subject = subject_of(customer_id)
    if numbers := still_open(subject):
        raise StillOpen(what=", ".join(numbers))
    audit(subject.customer, ERASE, by=by, at=at)
    subject.mails.delete()
    PreparedFile.objects.filter(kind="subject_file", facts__customer=customer_id).delete()
    subject.links.filter(revoked_at=None).update(revoked_at=at)
    erase_words(subject, by=by, at=at)
    quotes_erase(subject, by=by, at=at)
    erase_origins(subject.approvals, by=by, at=at)
    for inquiry in subject.inquiries:
        inquiry_erase(inquiry, by=by, at=at)
    customers_forget(at=at)
    _erase_customer(subject)


def _lock(customer_id: int) -> None:
    """Lock a customer with all inquiries and quotes, in the order in which others lock them.

    Whoever sends or answers one of the quotes at this moment is waited for, and then seen.

    Raises Customer.DoesNotExist.
    """
    inquiries = Inquiry.objects.filter(customer=customer_id)
    list(inquiries.select_for_update(no_key=True).order_by("pk").values_list("pk"))
    list(Quote.objects.select_for_update().filter(inquiry__in=inquiries).order_by("pk").values_list("pk"))
    Customer.objects.select_for_update().get(pk=customer_id)


@transaction.atomic(durable=True)
def subject_exported(*, customer_id: int, by: str, at: datetime) -> None:
    """Write down that a customer's data was exported.

    Raises Customer.DoesNotExist.
    """
    export_noted(DataSubject(Customer.objects.get(pk=customer_id)), by=by, at=at)


def export_noted(subject: DataSubject, *, by: str, at: datetime) -> None:
    """Write down that a person's data was exported; it has no transaction of its own."""
    audit(subject.customer, "export_data", by=by, at=at)


def erase_words(subject: DataSubject, *, by: str, at: datetime) -> None:
    """Erase what a person wrote, and notes about them; it has no transaction of its own."""
    for message in subject.messages:
        # A reply was written by somebody of the kitchen.
        names = ("text",) if message.kind == Message.Kind.REPLY else ("text", "by")
        _erase(message, _marks(message, *names), by=by, at=at)
    for order in subject.orders:
        _erase(order, _marks(order, "title", "canceled_reason", "retained_reason", "note"), by=by, at=at)
    subject.things_out.update(things="")
    for payment in subject.payments:
        _erase(payment, _marks(payment, "note"), by=by, at=at)
    for entry in subject.history.exclude(event__in=_OWN_NOTES):
        _erase_entry(entry, by=by, at=at)


def erase_origins(approvals: Iterable[Approval], *, by: str, at: datetime) -> None:
    """Erase from where approvals came: address and browser; it has no transaction of its own."""
    for approval in approvals:
        address: dict[str, Any] = {"ip": None} if approval.ip else {}
        _erase(approval, address | _marks(approval, "user_agent"), by=by, at=at)


def quotes_erase(subject: DataSubject, *, by: str, at: datetime) -> None:
    """Erase the person from quotes that came to nothing, with their PDFs, and when links were opened.

    It has no transaction of its own.
    """
    for quote in subject.quotes:
        if quote.pk not in subject.retained_quotes and quote.status in Quote.ROWS.erased_after:
            _erase_quote(quote, by=by, at=at)
    for link in subject.links.exclude(first_opened_at=None):
        _erase(link, {"first_opened_at": None}, by=by, at=at)


def _erase_quote(quote: Quote, *, by: str, at: datetime) -> None:
    marks, file = _marks(quote, "note"), quote.pdf
    if quote.content:
        text = content_erased(quote.content, Quote.ROWS.erased_inside["content"])
        if text != quote.content:
            marks |= {"content": text, "content_sha256": sha256_of(text)}
    if file is not None:
        marks["pdf"] = None
    _erase(quote, marks, by=by, at=at)
    if file is not None:
        stored = StoredBytes.objects.get(document=file)
        for row in (stored, file):
            audit(row, ERASE, by=by, at=at)
            row.delete()


def inquiry_erase(inquiry: Inquiry, *, by: str, at: datetime) -> None:
    """Delete an inquiry of which no quote was sent, else erase its words; drafts are deleted in either case.

    It has no transaction of its own.
    """
    quotes = Quote.objects.filter(inquiry=inquiry)
    for override in CoolingOverride.objects.filter(quote__in=quotes.filter(status=QuoteStatus.DRAFT)):
        audit(override, ERASE, by=by, at=at)
        override.delete()
    quotes.filter(status=QuoteStatus.DRAFT).delete()
    # A draft that was given up is a quote too; the database keeps it, though it was never sent.
    if not quotes.exists():
        audit(inquiry, ERASE, by=by, at=at)
        inquiry.delete()
        return
    _erase(inquiry, _marks(inquiry, "title"), by=by, at=at)
    blank: dict[str, Any] = {
        "place": "",
        "allergy_note": "",
        "note": "",
        "closed_reason": "",
        "allergies": [],
        "need_counts": {},
        "asked_none_at": None,
        "asked_none_by": "",
        "budget_minor": None,
    }
    Inquiry.objects.filter(pk=inquiry.pk).update(**blank)


def _erase_customer(subject: DataSubject) -> None:
    """Delete the customer's row, or keep the name that stands on documents and erase the rest."""
    row = Customer.objects.filter(pk=subject.customer.pk)
    if not subject.orders and not Inquiry.objects.filter(customer=subject.customer).exists():
        row.delete()
        return
    row.update(email="", phone="", address="", note="")
    # Invoices keep whom they were made out to.
    Order.objects.filter(customer=subject.customer.pk).update(bill_to=None)
    if not subject.orders:
        row.update(name=ERASED, country="", tax_number="")


def _erase_entry(entry: AuditEntry, *, by: str, at: datetime) -> None:
    marks = _marks(entry, "note")
    if entry.params.get("to", ERASED) != ERASED:
        marks["params"] = {**entry.params, "to": ERASED}
    _erase(entry, marks, by=by, at=at)


def _marks(row: models.Model, *names: str) -> dict[str, Any]:
    """Return the mark for each of these columns that says something."""
    return {name: ERASED for name in names if getattr(row, name) not in ("", ERASED)}


def _erase(row: models.Model, marks: dict[str, Any], *, by: str, at: datetime) -> None:
    """Put marks in place of a row's words, after writing down who does it; nothing is written without marks."""
    if marks:
        audit(row, ERASE, by=by, at=at)
        type(row)._default_manager.filter(pk=row.pk).update(**marks)
