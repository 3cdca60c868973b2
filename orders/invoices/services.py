"""Invoices: drafted from what the customer approved, numbered when issued, never changed after."""

from dataclasses import asdict
from datetime import date, datetime
from typing import Any, Final

from django.db import transaction

from catalog.kitchen.selectors import kitchen, local_day
from orders.documents.content import QuoteContent, content_read
from orders.documents.store import pdf_ask
from orders.invoices.bill_to import buyer_of
from orders.invoices.charge_content import charge_note, charge_prices, charge_totals, charge_waits
from orders.invoices.content import content_hash, payment_note, totals_of, write_totals
from orders.invoices.models import Invoice
from orders.invoices.order_money import order_money
from orders.invoices.parts import next_part_on, parts_added, parts_due
from orders.invoices.running_sums import issued_counted
from orders.invoices.selectors import draft_invoice, paid_and_credited, standing_invoice
from orders.invoices.totals import DocumentTotals, settled_status
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.errors import AlreadyInvoiced, CanceledOrder, TransitionNotAllowed
from orders.records.numbers import number_next
from orders.records.states import InvoiceEvent, InvoiceStatus, OrderStatus
from orders.records.transitions import audit, transition

#: Status of an invoice -> the event that leads to it.
_EVENTS: Final = {
    InvoiceStatus.PAID: InvoiceEvent.PAY_ALL,
    InvoiceStatus.PART_PAID: InvoiceEvent.PAY_PART,
    InvoiceStatus.ISSUED: InvoiceEvent.UNPAY,
}


@transaction.atomic(durable=True)
def invoice_draft(*, order_id: int, by: str, at: datetime) -> Invoice:
    """Draft the order's invoice; an existing draft is returned.

    Raises
    ------
    AlreadyInvoiced
        When an issued invoice stands.
    CanceledOrder
        When the order is canceled and the kitchen retains no money.
    DoesNotAddUp
        When the approved content does not add up.
    """
    # Locked alone: an approval that changes it locks its quotes first, and its quote is read as it is after the wait.
    order = Order.objects.select_for_update().get(pk=order_id)
    draft = draft_invoice(order)
    if draft is not None:
        return draft
    _may_be_invoiced(order)
    return drafted(order, by=by, at=at)


def drafted(order: Order, *, by: str, at: datetime) -> Invoice:
    """Draft an order's invoice, or the charge of one that was canceled by its terms, in the caller's transaction."""
    content, prepaid = content_read(order.quote.content), order_money(order).unused
    if order.retained_minor is None:
        note = payment_note(kitchen())
        return draft_add(order, content, totals_of(content), prepaid=prepaid, note=note, by=by, at=at)
    return draft_add(
        order,
        content,
        charge_totals(order, content),
        prepaid=prepaid,
        note=charge_note(order, kitchen()),
        by=by,
        at=at,
        charges_cancellation=True,
        prices=charge_prices(order, content),
        supply_on=local_day(order.canceled_at or at),
    )


def draft_add(
    order: Order,
    content: QuoteContent,
    totals: DocumentTotals,
    *,
    prepaid: int,
    note: str,
    by: str,
    at: datetime,
    settles: Quote | None = None,
    **others: Any,
) -> Invoice:
    """Add the draft of an invoice over ``totals``, in the caller's transaction.

    ``prepaid`` is what was paid before, in minor units; ``settles`` the change of the order that it is about,
    ``others`` are columns that are not as the order and its content say.
    """
    columns: dict[str, Any] = {"supply_on": local_day(order.window_start), "prices": content.prices, **others}
    invoice = Invoice.objects.create(
        order=order,
        settles=settles,
        created_at=at,
        currency=content.currency,
        seller=asdict(content.kitchen),
        buyer=buyer_of(order, content),
        note=note,
        net_minor=totals.net_minor,
        tax_minor=totals.tax_minor,
        total_minor=totals.total_minor,
        prepaid_minor=prepaid,
        due_minor=totals.total_minor - prepaid,
        **columns,
    )
    write_totals(invoice, totals)
    audit(invoice, "draft", after=invoice.status, by=by, at=at)
    return invoice


def _may_be_invoiced(order: Order) -> None:
    retained = order.canceled_money == Order.CanceledMoney.KEEP or charge_waits(order)
    if order.status == OrderStatus.CANCELED and not retained:
        raise CanceledOrder(order=order.number)
    standing = standing_invoice(order)
    if standing is not None:
        raise AlreadyInvoiced(order=order.number, invoice=standing.number)


@transaction.atomic(durable=True)
def invoice_issue(*, invoice_id: int, mail: bool = False, by: str, at: datetime) -> Invoice:
    """Set the draft's number, its date and the amount paid before; from then on it never changes.

    Raises
    ------
    Invoice.DoesNotExist
        When the draft was discarded.
    TransitionNotAllowed
        When it is issued already.
    """
    order, invoice = _locked(invoice_id)
    if invoice.is_credit_note or invoice.status != InvoiceStatus.DRAFT:
        raise TransitionNotAllowed(what=str(invoice), status=invoice.status, event="issue")
    content = content_read(order.quote.content)
    today = local_day(at)
    # What an invoice before leaves open is asked for there.
    prepaid = order_money(order).unused if invoice.settles_id is None else max(0, order_money(order).unused)
    parts = _parts_due(order, content, invoice.total_minor - prepaid, today)
    if len(parts) > 1:
        parts_added(invoice, parts)
    issue(
        invoice,
        series="invoice",
        by=by,
        at=at,
        mail=mail,
        issued_on=today,
        due_on=parts[0][0],
        next_on=parts[0][0] if len(parts) > 1 else None,
        prepaid_minor=prepaid,
        due_minor=invoice.total_minor - prepaid,
    )
    settle(invoice, by=by, at=at)
    return invoice


def _parts_due(order: Order, content: QuoteContent, due_minor: int, today: date) -> list[tuple[date, int]]:
    """Return when what of an invoice is due: where all was to be paid before the event, as that says, or today."""
    last = order.scheduled.last()
    if last is None or not content.payments_before or content.balance_minor:
        return parts_due(due_minor=due_minor, on=today, content=content)
    return [(max(today, last.due_on), due_minor)]


def _locked(invoice_id: int) -> tuple[Order, Invoice]:
    """Lock an invoice's order, and return both as they are then: whoever issues, discards or pays waits here."""
    order_id = Invoice.objects.values_list("order_id", flat=True).get(pk=invoice_id)
    order = Order.objects.select_for_update().get(pk=order_id)
    return order, Invoice.objects.get(pk=invoice_id)


def issue(invoice: Invoice, *, series: str, by: str, at: datetime, mail: bool, **changes: Any) -> None:
    """Number and issue a draft, and request its PDF. It has no transaction of its own."""
    changes |= {"number": number_next(series), "issued_at": at, "issued_by": by}
    changes["content_sha256"] = content_hash(invoice, changes)
    transition(invoice, InvoiceEvent.ISSUE, by=by, at=at, **changes)
    issued_counted(invoice)
    pdf_ask(
        kind="invoice_pdf",
        payload={"invoice": invoice.pk, "mail": mail},
        about=f"invoice:{invoice.pk}",
        what=invoice.kind_and_number,
        at=at,
    )


def settle(invoice: Invoice, *, by: str, at: datetime) -> None:
    """Set an issued invoice's status, and which payment is next, from its payments and credit notes.

    It has no transaction of its own.
    """
    paid, credited = paid_and_credited(invoice)
    target = settled_status(invoice.due_minor, paid, credited)
    if target != invoice.status:
        # A credited invoice counts as settled, and its history says by which of the two.
        transition(invoice, _EVENTS[InvoiceStatus(target)], by=by, at=at, params={"credited_minor": credited})
    day = next_part_on(invoice, paid=paid, credited=credited)
    if day != invoice.next_on:
        invoice.next_on = day
        invoice.save(update_fields=["next_on"])


@transaction.atomic(durable=True)
def invoice_discard(*, invoice_id: int, by: str, at: datetime) -> Order:
    """Discard a draft. An issued invoice can only be undone by a credit note.

    Raises
    ------
    Invoice.DoesNotExist
        When it was discarded already.
    TransitionNotAllowed
        When it is issued.
    """
    order, invoice = _locked(invoice_id)
    if invoice.status != InvoiceStatus.DRAFT:
        raise TransitionNotAllowed(what=str(invoice), status=invoice.status, event="discard")
    draft_drop(invoice, by=by, at=at)
    return order


def draft_drop(invoice: Invoice, *, by: str, at: datetime) -> None:
    """Discard a draft, in the caller's transaction, which has locked its order."""
    audit(invoice, "discard", before=invoice.status, by=by, at=at)
    invoice.delete()
