"""Credit notes (UNTDID 1001 code 381): the only way to undo an issued invoice, whole or in part."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from catalog.kitchen.selectors import local_day
from catalog.records.reasons import Reason
from costing.money.allocation import sum_by_code
from orders.invoices.content import credit_row, write_totals
from orders.invoices.models import Invoice
from orders.invoices.order_money import order_money
from orders.invoices.selectors import CreditableRow, creditable, left_by_code, paid_and_credited
from orders.invoices.services import issue, settle
from orders.invoices.totals import DocumentTotals, Row, TaxKind, compute_totals
from orders.orders.models import Order
from orders.quotes.draft.claims import check_note
from orders.quotes.draft.fine_words import check_fine
from orders.records.errors import CreditDiffers, NotAnIssuedInvoice, NothingToCredit, TooMuchCredited
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
    note = _drafted(invoice, order, totals, reason=reason, idempotency_key=idempotency_key, at=at)
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
    return CreditOutcome(totals, left, money.received, money.balance - totals.total_minor)


def credit_totals(invoice: Invoice, amounts: Mapping[int, int] | None) -> DocumentTotals:
    """Compute the totals of the credit note; see :func:`credit_note_issue` for what it raises."""
    rows = creditable(invoice)
    left = left_by_code(rows)
    credited = _all_left(rows) if amounts is None else _chosen(invoice, rows, amounts)
    if not credited:
        raise NothingToCredit(invoice=str(invoice), left=from_minor(sum(left.values()), invoice.currency))
    _within(invoice, credited, left)
    taxes = list(invoice.taxes.all())
    kinds = [TaxKind(tax.tax_code, tax.tax_name, tax.untdid, tax.exempt_reason, tax.rate) for tax in taxes]
    gross = invoice.prices == "gross"
    agreed = {tax.tax_code: tax.taxable_minor + (tax.tax_minor if gross else 0) for tax in taxes}
    return compute_totals(credited, kinds, invoice.prices, {code: agreed[code] - left.get(code, 0) for code in agreed})


def _all_left(rows: list[CreditableRow]) -> list[Row]:
    return [credit_row(row.line, row.left) for row in rows if row.left]


def _chosen(invoice: Invoice, rows: list[CreditableRow], amounts: Mapping[int, int]) -> list[Row]:
    chosen = []
    for row in rows:
        amount = amounts.get(row.line.pk, 0)
        if not amount:
            continue
        if not 0 < amount <= row.left:
            raise TooMuchCredited(
                most=from_minor(max(row.left, 0), invoice.currency), what=row.line.name, invoice=invoice.number
            )
        chosen.append(credit_row(row.line, amount))
    return chosen


def _within(invoice: Invoice, credited: list[Row], left: Mapping[str, int]) -> None:
    """Refuse more than is left at any tax rate: a discount on the whole reduces what is left of its goods."""
    names = dict(invoice.taxes.values_list("tax_code", "tax_name"))
    sums = sum_by_code((row.tax_code, row.amount_minor) for row in credited)
    for code in left:
        if sums.get(code, 0) > left[code]:
            raise TooMuchCredited(
                most=from_minor(left[code], invoice.currency),
                what=Reason("taxed_as", {"tax": names[code]}),
                invoice=invoice.number,
            )


def _drafted(
    invoice: Invoice, order: Order, totals: DocumentTotals, *, reason: str, idempotency_key: str, at: datetime
) -> Invoice:
    note = Invoice.objects.create(
        order=order,
        kind=Invoice.Kind.CREDIT_NOTE,
        credits=invoice,
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
