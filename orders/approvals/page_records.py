"""What the customer's page shows of the time after a quote was sent: what was written, documents and payments."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from django.db.models import QuerySet

from orders.approvals.models import Message
from orders.invoices.models import Invoice, PaymentPaper
from orders.orders.models import Order
from orders.quotes.draft.message_needs import held_of
from orders.quotes.models import Quote
from orders.records.states import InvoiceStatus

#: What the kitchen did, where it is no message: it sent a quote, a changed one, or the change of an order.
SENT: Final = "sent"
SENT_AGAIN: Final = "sent_again"
SENT_CHANGE: Final = "sent_change"


@dataclass(frozen=True, slots=True)
class Written:
    """One row of a conversation: ``kind`` is that of a message, or what the kitchen sent as revision ``revision``."""

    kind: str
    at: datetime
    text: str = ""
    revision: int = 0

    @property
    def by_kitchen(self) -> bool:
        """Whether the kitchen wrote or sent it."""
        return self.kind not in (Message.Kind.CHANGE, Message.Kind.DECLINE)


def conversation(quote: Quote) -> tuple[Written, ...]:
    """Return what the customer and the kitchen wrote about all revisions of a quote, the oldest first; three queries.

    Between it stands when a quote or a change was sent, as the answer to what was asked for. Empty where nobody wrote
    anything. What the service wrote down when an approval was not possible is none of their words.
    """
    revisions = Quote.objects.filter(number=quote.number).exclude(sent_at=None)
    rows = list(Message.objects.filter(quote__in=revisions.values("pk")).order_by("at", "pk"))
    held = held_of(rows)
    messages = [Written(one.kind, one.at, one.text) for one in rows if one.pk not in held and _says(one)]
    if not messages:
        return ()
    return tuple(sorted([*_sent(revisions), *messages], key=lambda one: one.at))


def _says(message: Message) -> bool:
    return bool(message.text) or message.kind == Message.Kind.DECLINE


def _sent(revisions: QuerySet[Quote]) -> list[Written]:
    """Return when each revision was sent; the order of one moment is that of the revisions."""
    columns = revisions.order_by("revision").values_list("revision", "sent_at", "amends_id")
    return [
        Written(SENT_CHANGE if amends else SENT if revision == 1 else SENT_AGAIN, at, revision=revision)
        for revision, at, amends in columns
        if at is not None
    ]


def documents_of(order: Order) -> list[Invoice]:
    """Return an order's issued invoices and credit notes, the oldest first; one query."""
    return list(order.invoices.exclude(status=InvoiceStatus.DRAFT).order_by("issued_on", "pk"))


def document_of(order: Order, pk: int) -> Invoice | None:
    """Return one of the issued invoices and credit notes of an order; one query."""
    issued = order.invoices.exclude(status=InvoiceStatus.DRAFT)
    return issued.filter(pk=pk).select_related("pdf").first()


def requests_of(order: Order) -> list[PaymentPaper]:
    """Return an order's payment requests, the oldest first; one query."""
    return list(order.papers.filter(kind=PaymentPaper.Kind.REQUEST))


def paper_of(order: Order, pk: int) -> PaymentPaper | None:
    """Return one of the payment requests and receipts of an order; none of a payment that was reversed; one query."""
    return order.papers.filter(pk=pk, payment__reversed_by=None).select_related("pdf").first()


@dataclass(frozen=True, slots=True)
class Paid:
    """A payment, or a refund, on a day: its ``amount`` in minor units, above zero, and how; and the receipt's key."""

    amount: int
    currency: str
    on: date
    method: str
    refunded: bool
    receipt: int | None = None


def payments_of(order: Order) -> list[Paid]:
    """Return an order's payments and refunds that stand, the oldest first; one query.

    What was recorded by mistake and reversed is not the customer's to read.
    """
    return [
        Paid(
            abs(one.amount_minor),
            one.currency,
            one.received_on,
            one.get_method_display(),
            one.amount_minor < 0,
            one.receipt.pk if hasattr(one, "receipt") else None,
        )
        for one in order.payments.filter(reverses=None, reversed_by=None).select_related("receipt")
    ]
