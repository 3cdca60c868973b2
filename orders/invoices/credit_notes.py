"""Credit notes (UNTDID 1001 code 381): the only way to undo an issued invoice, whole or in part."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from catalog.kitchen.selectors import local_day
from orders.invoices.content import write_totals
from orders.invoices.credit_rows import credit_totals
from orders.invoices.models import Invoice
from orders.invoices.order_money import order_money
from orders.invoices.selectors import paid_and_credited
from orders.invoices.services import issue, settle
from orders.invoices.totals import DocumentTotals, Row
from orders.orders.models import Order
from orders.quotes.draft.claims import check_note
from orders.quotes.draft.fine_words import check_fine
from orders.quotes.models import Quote
from orders.records.errors import CreditDiffers, NotAnIssuedInvoice
from orders.records.money import from_minor
from orders.records.states import InvoiceStatus


@transaction.atomic(durable=True)
def credit_note_issue(
    *,
    invoice_id: int,
    reason: str,
    amounts: Mapping[int, int] | None = None,
    idempotency_key: str,
    seen_minor: int | None = None,
    mail: bool = False,
    by: str,
    at: datetime,
    read: Sequence[str] = (),
) -> Invoice:
    """Credit an invoice: all that is not credited yet, or ``amounts`` by the invoice's row (as agreed, minor units).

    With an idempotency key that was used before, the note created with it is returned. ``seen_minor`` is the total
    that was reviewed before, minor units; ``read`` are the marks of the sentences of the reason that somebody has
    checked (:class:`FineWords`).

    Raises
    ------
    NotAnIssuedInvoice
        When it is a draft or itself a credit note.
    NothingToCredit, TooMuchCredited
        When nothing, or less than the amount, is left to credit.
    CreditDiffers
        When the total is not the one that was reviewed.
    NoteUnproven
        When the reason, which the customer reads, claims what the desserts or the kitchen do not bear out.
    TextUnread
        When a sentence of it may say that something is for guests who cannot eat all of it, and it is not ``read``.
    """
    order_id = Invoice.objects.values_list("order_id", flat=True).get(pk=invoice_id)
    order = Order.objects.select_for_update().get(pk=order_id)
    known = Invoice.objects.filter(idempotency_key=idempotency_key).first()
    if known is not None:
        return known
    invoice = Invoice.objects.get(pk=invoice_id)
    if invoice.is_credit_note or invoice.status == InvoiceStatus.DRAFT:
        raise NotAnIssuedInvoice(invoice=str(invoice))
    check_note(reason, order.quote, place="reason")
    check_fine(reason, order.quote, read, place="reason")
    totals = credit_totals(invoice, amounts)
    if seen_minor is not None and seen_minor != totals.total_minor:
        raise CreditDiffers(invoice=str(invoice), total=from_minor(totals.total_minor, invoice.currency))
    note = note_drafted(invoice, order, totals, reason=reason, idempotency_key=idempotency_key, at=at)
    issue(note, series="credit", by=by, at=at, mail=mail, issued_on=local_day(at))
    settle(invoice, by=by, at=at)
    return note


@dataclass(frozen=True)
class CreditOutcome:
    """A credit note before it is issued, what it leaves of the invoice, and the order's balance then; minor units.

    A negative ``balance`` belongs to the customer.
    """

    totals: DocumentTotals
    left: int
    received: int
    balance: int

    @property
    def lines(self) -> list[tuple[Row, int]]:
        """Each row with its amount before tax."""
        return list(zip(self.totals.rows, self.totals.nets, strict=True))

    @property
    def back(self) -> int:
        """The amount that belongs to the customer then."""
        return max(0, -self.balance)


def credit_outcome(
    invoice: Invoice, amounts: Mapping[int, int] | None, *, reason: str, read: Sequence[str] = ()
) -> CreditOutcome:
    """Compute a credit note without issuing it; see :func:`credit_note_issue` for what it raises."""
    check_note(reason, invoice.order.quote, place="reason")
    check_fine(reason, invoice.order.quote, read, place="reason")
    totals = credit_totals(invoice, amounts)
    credited, money = paid_and_credited(invoice)[1], order_money(invoice.order)
    left = invoice.total_minor - credited - totals.total_minor
    # What is owed of a canceled order follows from its terms until it is charged.
    less = totals.total_minor if money.retained is None else 0
    return CreditOutcome(totals, left, money.received, money.balance - less)


def note_drafted(
    invoice: Invoice,
    order: Order,
    totals: DocumentTotals,
    *,
    reason: str,
    idempotency_key: str | None,
    at: datetime,
    settles: Quote | None = None,
) -> Invoice:
    """Draft a credit note, in the caller's transaction; ``settles`` is the change of the order that it is about."""
    note = Invoice.objects.create(
        order=order,
        kind=Invoice.Kind.CREDIT_NOTE,
        credits=invoice,
        settles=settles,
        reason=reason,
        idempotency_key=idempotency_key,
        created_at=at,
        supply_on=invoice.supply_on,
        currency=invoice.currency,
        prices=invoice.prices,
        seller=invoice.seller,
        buyer=invoice.buyer,
        net_minor=totals.net_minor,
        tax_minor=totals.tax_minor,
        total_minor=totals.total_minor,
        due_minor=totals.total_minor,
    )
    write_totals(note, totals)
    return note
