"""All that a page of an invoice shows."""

from dataclasses import dataclass
from typing import Any

from catalog.outbox.models import Outbox
from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax, Payment
from orders.invoices.order_money import order_money
from orders.records.states import InvoiceStatus


@dataclass(frozen=True)
class InvoicePage:
    """Rows by what they are, taxes, and what happened since."""

    lines: list[InvoiceLine]
    charges: list[InvoiceLine]
    taxes: list[InvoiceTax]
    sum_lines: int
    payments: list[Payment]
    before: list[Payment]
    notes: list[Invoice]
    work: list[Outbox]
    credit: int = 0
    owner: bool = False

    @property
    def waiting(self) -> bool:
        """Tell whether its PDF or mail is still under way."""
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
    }


def invoice_page(invoice: Invoice, *, owner: bool) -> InvoicePage:
    """Read the page of an invoice from ``with_open``: six queries, two more when there is a credit."""
    return InvoicePage(
        **invoice_rows(invoice),
        payments=list(invoice.payments.all()),
        before=paid_before(invoice),
        notes=list(invoice.credit_notes.exclude(status=InvoiceStatus.DRAFT).order_by("pk")),
        owner=owner,
        credit=order_money(invoice.order).credit if invoice.open < 0 else 0,  # type: ignore[attr-defined]  # annotated
        work=list(Outbox.objects.filter(about=f"invoice:{invoice.pk}").exclude(status=Outbox.Status.DONE)),
    )


def paid_before(invoice: Invoice) -> list[Payment]:
    """List the order's payments that an invoice takes off as paid before; a draft takes off all so far."""
    if invoice.kind != Invoice.Kind.INVOICE:
        return []
    payments = Payment.objects.filter(order_id=invoice.order_id).exclude(invoice=invoice)
    if invoice.issued_at:
        payments = payments.filter(recorded_at__lte=invoice.issued_at)
    return list(payments.order_by("received_on", "pk"))
