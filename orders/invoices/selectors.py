"""Invoices and credit notes with their open amounts, and the data of an invoice's page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, TypedDict

from django.db.models import ExpressionWrapper, F, QuerySet, Sum
from django.db.models.fields import BigIntegerField

from catalog.kitchen.selectors import kitchen
from catalog.kitchen.trace_words import trace_words
from catalog.outbox.models import Outbox
from costing.money.allocation import sum_by_code
from orders.invoices.models import IS_CREDIT_NOTE, IS_INVOICE, Invoice, InvoiceLine, InvoiceTax, Payment
from orders.invoices.order_money import OrderMoney, order_money, sum_of
from orders.invoices.parts import NEXT_ON, DuePart, all_parts, open_parts
from orders.orders.models import Order
from orders.records.states import InvoiceStatus, OrderStatus

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


class OpenMoney(TypedDict):
    """The annotations added by :func:`with_open`; minor units. ``pay_on`` is when the next payment is due."""

    paid: int
    credited: int
    open: int
    pay_on: date | None


#: Filter: an invoice with an open amount.
OPEN = (InvoiceStatus.ISSUED, InvoiceStatus.PART_PAID)


def issued_notes() -> QuerySet[Invoice]:
    """Return the credit notes in force."""
    return Invoice.objects.filter(IS_CREDIT_NOTE).exclude(status=InvoiceStatus.DRAFT)


def with_open(invoices: QuerySet[Invoice]) -> QuerySet[WithAnnotations[Invoice, OpenMoney]]:
    """Add ``paid``, ``credited``, ``open`` (due less both) and ``pay_on`` to invoices, in the same query."""
    return invoices.annotate(
        paid=sum_of(Payment.objects.all(), "amount_minor", "invoice"),
        credited=sum_of(issued_notes(), "total_minor", "credits"),
    ).annotate(
        open=ExpressionWrapper(F("due_minor") - F("paid") - F("credited"), output_field=BigIntegerField()),
        pay_on=NEXT_ON,
    )


def invoices_shown() -> QuerySet[WithAnnotations[Invoice, OpenMoney]]:
    """Return the documents as their pages show them: with order and customer, what they credit, and their PDF."""
    return with_open(Invoice.objects.select_related("order__customer", "credits", "pdf"))


def paid_and_credited(invoice: Invoice) -> tuple[int, int]:
    """Sum the payments on an invoice since it was issued, and its credits: two queries."""
    paid = Payment.objects.filter(invoice=invoice).aggregate(all=Sum("amount_minor", default=0))["all"]
    credited = issued_notes().filter(credits=invoice).aggregate(all=Sum("total_minor", default=0))["all"]
    return paid, credited


def standing_invoice(order: Order) -> Invoice | None:
    """Return the order's newest issued invoice that is not credited in full."""
    return next(iter(standing_invoices(order)), None)


def standing_invoices(order: Order) -> list[WithAnnotations[Invoice, OpenMoney]]:
    """Return the order's issued invoices that are not credited in full, the newest first.

    There is one, and a further one for each change of the order that added something after it.
    """
    issued = _issued(order).prefetch_related("lines", "taxes")
    return [invoice for invoice in issued if not _credited_in_full(invoice)]


def _issued(order: Order) -> QuerySet[WithAnnotations[Invoice, OpenMoney]]:
    """Return the order's issued invoices, the newest first."""
    return with_open(order.invoices.filter(IS_INVOICE).exclude(status=InvoiceStatus.DRAFT)).order_by("-pk")


def _credited_in_full(invoice: WithAnnotations[Invoice, OpenMoney]) -> bool:
    return 0 < invoice.total_minor <= invoice.credited


@dataclass(frozen=True, slots=True)
class Billed:
    """An order's issued invoices as they stand: what was paid before and on them, credited, and is open.

    ``parts`` is what is open by its days, and ``due_on`` the first of them. ``notes`` are the numbers of its credit
    notes; amounts are whole minor units.
    """

    number: str
    due_on: date | None
    total: int
    paid: int
    credited: int
    open: int
    in_full: bool = False
    notes: tuple[str, ...] = ()
    parts: tuple[DuePart, ...] = ()

    @property
    def days(self) -> int:
        """On how many days something of it is due."""
        return len({one.due_on for one in self.parts})

    @property
    def next_minor(self) -> int:
        """What is open of the payment that is due next."""
        return sum(one.open for one in self.parts if one.due_on == self.due_on)


def billed(order: Order) -> Billed | None:
    """Return the order's issued invoices with their credit notes; one query, two where there are notes.

    Where all of them are credited in full, it is the newest.
    """
    issued = list(_issued(order))
    if not issued:
        return None
    shown = [one for one in issued if not _credited_in_full(one)] or issued[:1]
    credited = sum(one.credited for one in shown)
    notes = issued_notes().filter(credits__in=shown).order_by("pk").values_list("number", flat=True)
    parts = sorted((part for one in shown for part in open_parts(one)), key=lambda part: (part.due_on, part.invoice.pk))
    return Billed(
        number=", ".join(one.number or "" for one in reversed(shown)),
        due_on=parts[0].due_on if parts else shown[0].due_on,
        total=sum(one.total_minor for one in shown),
        paid=sum(one.prepaid_minor + one.paid for one in shown),
        credited=credited,
        open=sum(one.open for one in shown),
        in_full=_credited_in_full(shown[0]),
        notes=tuple(one or "" for one in notes) if credited else (),
        parts=tuple(parts),
    )


def draft_invoice(order: Order) -> Invoice | None:
    """Return the order's draft invoice, if there is one."""
    return order.invoices.filter(IS_INVOICE, status=InvoiceStatus.DRAFT).first()


@dataclass(frozen=True)
class CreditableRow:
    """A row of an invoice and the amount left to credit, as agreed (including tax when prices are gross)."""

    line: InvoiceLine
    left: int


def creditable(invoice: Invoice) -> list[CreditableRow]:
    """List an invoice's rows with the amount left to credit: one query."""
    notes = InvoiceLine.objects.exclude(invoice__status=InvoiceStatus.DRAFT)
    rows = invoice.lines.annotate(credited=sum_of(notes, "amount_minor", "credits"))
    return [CreditableRow(row, row.amount_minor - row.credited) for row in rows]


def left_by_code(rows: list[CreditableRow]) -> dict[str, int]:
    """Sum the amounts left to credit by tax code."""
    return sum_by_code((row.line.tax_code, row.left) for row in rows)


@dataclass(frozen=True)
class InvoicePage:
    """The data of an invoice's page: rows by kind, taxes, payments and credits."""

    lines: list[InvoiceLine]
    charges: list[InvoiceLine]
    taxes: list[InvoiceTax]
    sum_lines: int
    agreed_lines: int
    payments: list[Payment]
    before: list[Payment]
    notes: list[Invoice]
    work: list[Outbox]
    #: Of an invoice that is due in several payments: each of them as it stands.
    parts: list[DuePart]
    credit: int = 0
    paid: int = 0
    #: Of a credit note, what its order leaves to pay or to pay back.
    order: OrderMoney | None = None

    @property
    def less_paid(self) -> int:
        """What was paid before the invoice and on it, as it is taken off its total; minor units."""
        return -self.paid

    @property
    def waiting(self) -> bool:
        """Return whether its PDF or mail is still pending."""
        return any(row.status in (Outbox.Status.WAITING, Outbox.Status.RUNNING) for row in self.work)


def invoice_rows(invoice: Invoice) -> dict[str, Any]:
    """Read rows and taxes: two queries; for pages and for the PDF."""
    rows = list(invoice.lines.all())
    lines = [row for row in rows if row.kind == InvoiceLine.Kind.LINE]
    return {
        "lines": lines,
        "charges": [row for row in rows if row.kind != InvoiceLine.Kind.LINE],
        "taxes": list(invoice.taxes.all()),
        "sum_lines": sum(line.net_minor for line in lines),
        "agreed_lines": sum(line.amount_minor for line in lines),
    }


def invoice_page(invoice: Invoice) -> InvoicePage:
    """Read the page of an invoice from ``with_open``: six queries, two more when there is a credit, or it is a note."""
    return InvoicePage(
        **invoice_rows(invoice),
        payments=list(invoice.payments.all()),
        before=paid_before(invoice),
        notes=list(invoice.credit_notes.exclude(status=InvoiceStatus.DRAFT).order_by("pk")),
        credit=order_money(invoice.order).credit if invoice.open < 0 else 0,  # type: ignore[attr-defined]  # annotated
        parts=all_parts(invoice),
        paid=invoice.prepaid_minor + invoice.paid,  # type: ignore[attr-defined]  # annotated
        order=order_money(invoice.order) if invoice.is_credit_note else None,
        work=list(Outbox.objects.filter(about=f"invoice:{invoice.pk}").exclude(status=Outbox.Status.DONE)),
    )


def paid_before(invoice: Invoice) -> list[Payment]:
    """List the order's payments that an invoice deducts as paid before; a draft deducts all payments so far."""
    if invoice.is_credit_note:
        return []
    payments = Payment.objects.filter(order_id=invoice.order_id).exclude(invoice=invoice)
    if invoice.issued_at:
        payments = payments.filter(recorded_at__lte=invoice.issued_at)
    return list(payments.order_by("received_on", "pk"))


def traces_of(order: Order) -> str:
    """Return what the kitchen says about traces by now, for what is written of an order.

    It is of use before the desserts are there; once they are, or are never made, it would only worry.
    """
    over = order.delivered_at is not None or order.status == OrderStatus.CANCELED
    return "" if over else trace_words(kitchen().cross_contact)
