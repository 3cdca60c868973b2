"""Everything that is stored about one person, and what of their business is still open."""

from dataclasses import dataclass
from functools import cached_property

from django.db.models import Model, Q, QuerySet

from catalog.outbox.models import Outbox
from orders.approvals.models import Approval, Link, Message
from orders.documents.models import Document
from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import IS_INVOICE, Invoice, Payment, PaymentPaper, ScheduledPayment
from orders.invoices.order_money import order_money
from orders.orders.models import Order, OrderLine
from orders.quotes.models import Quote
from orders.records.models import AuditEntry
from orders.records.states import InvoiceStatus, OrderStatus, QuoteStatus
from orders.reminders.models import Reminder, ThingsOut

_ENDED = (OrderStatus.CLOSED, OrderStatus.CANCELED)
_UNDER_WAY = (Outbox.Status.WAITING, Outbox.Status.RUNNING)


@dataclass(frozen=True)
class DataSubject:
    """A customer, and the rows about them; with ``only``, those about one inquiry."""

    customer: Customer
    only: Inquiry | None = None

    @cached_property
    def inquiries(self) -> list[Inquiry]:
        """Their inquiries."""
        return [self.only] if self.only else list(Inquiry.objects.filter(customer=self.customer).order_by("pk"))

    @cached_property
    def quotes(self) -> list[Quote]:
        """Every revision of their quotes."""
        return list(Quote.objects.filter(inquiry__in=self.inquiries).order_by("pk"))

    @cached_property
    def orders(self) -> list[Order]:
        """Their orders."""
        return list(Order.objects.filter(quote__inquiry__in=self.inquiries).order_by("pk"))

    @cached_property
    def invoices(self) -> list[Invoice]:
        """Invoices and credit notes of their orders."""
        return list(Invoice.objects.filter(order__in=self.orders).order_by("pk"))

    @property
    def order_lines(self) -> QuerySet[OrderLine]:
        """What they ordered."""
        return OrderLine.objects.filter(order__in=self.orders)

    @property
    def payments(self) -> QuerySet[Payment]:
        """Money received for their orders, and money back."""
        return Payment.objects.filter(order__in=self.orders).order_by("pk")

    @cached_property
    def papers(self) -> list[PaymentPaper]:
        """Payment requests and receipts of their orders."""
        return list(PaymentPaper.objects.filter(order__in=self.orders).order_by("pk"))

    @property
    def scheduled(self) -> QuerySet[ScheduledPayment]:
        """What they are to pay when."""
        return ScheduledPayment.objects.filter(order__in=self.orders).order_by("pk")

    @property
    def reminders(self) -> QuerySet[Reminder]:
        """Reminders about their quotes, orders and invoices."""
        return Reminder.objects.filter(number__in={quote.number for quote in self.quotes}).order_by("pk")

    @property
    def things_out(self) -> QuerySet[ThingsOut]:
        """What they have or had of the kitchen."""
        return ThingsOut.objects.filter(order__in=self.orders)

    @property
    def messages(self) -> QuerySet[Message]:
        """What they wrote about a quote, and what the kitchen answered."""
        return Message.objects.filter(quote__in=self.quotes)

    @property
    def links(self) -> QuerySet[Link]:
        """Private links to their quotes."""
        return Link.objects.filter(quote__in=self.quotes)

    @property
    def approvals(self) -> QuerySet[Approval]:
        """Their approvals, with the evidence."""
        return Approval.objects.filter(quote__in=self.quotes).order_by("pk")

    @property
    def mails(self) -> QuerySet[Outbox]:
        """Mails and files about their documents."""
        about = [f"{row._meta.model_name}:{row.pk}" for row in self._documents()]
        return Outbox.objects.filter(about__in=about).order_by("pk")

    @property
    def history(self) -> QuerySet[AuditEntry]:
        """Entries of the audit trail about them and their documents."""
        found = Q(pk__in=[])
        for kind in ("customer", "inquiry", "quote", "order", "invoice"):
            rows = [row.pk for row in self._documents() if row._meta.model_name == kind]
            found |= Q(document=kind, document_pk__in=rows)
        return AuditEntry.objects.filter(found).order_by("pk")

    @property
    def files(self) -> QuerySet[Document]:
        """The PDFs of their quotes, approvals, invoices, payment requests and receipts."""
        found = [row.pdf_id for row in self.quotes]
        found += [row.pdf_id for row in self.approvals]
        found += [row.pdf_id for row in self.invoices]
        found += [row.pdf_id for row in self.papers]
        return Document.objects.filter(pk__in=[pk for pk in found if pk]).order_by("pk")

    @cached_property
    def retained_quotes(self) -> frozenset[int]:
        """Keys of the quotes that the books keep: every revision of a number that was approved."""
        approved = {quote.number for quote in self.quotes if quote.status == QuoteStatus.APPROVED}
        return frozenset(quote.pk for quote in self.quotes if quote.number in approved)

    @property
    def sent_quotes(self) -> list[Quote]:
        """Quotes that were sent; they never change."""
        return [quote for quote in self.quotes if quote.sent_at is not None]

    def _documents(self) -> list[Model]:
        whole = [] if self.only else [self.customer]
        return [*whole, *self.inquiries, *self.quotes, *self.orders, *self.invoices, *self.papers]


def subject_of(customer_id: int) -> DataSubject:
    """Return the rows about a customer.

    Raises Customer.DoesNotExist.
    """
    return DataSubject(Customer.objects.get(pk=customer_id))


def still_open(subject: DataSubject) -> list[str]:
    """Return the numbers of what is not finished: quotes, orders, invoices; and "mail" while mail is on its way."""
    numbers = [order.number for order in subject.orders if order.status not in _ENDED or _owes(order)]
    sent = {quote.number for quote in subject.sent_quotes}
    numbers += [
        quote.number
        for quote in subject.quotes
        if quote.status == QuoteStatus.SENT or (quote.status == QuoteStatus.DRAFT and quote.number in sent)
    ]
    unpaid = Invoice.objects.filter(IS_INVOICE, status__in=[InvoiceStatus.ISSUED, InvoiceStatus.PART_PAID])
    drafts = Invoice.objects.filter(status=InvoiceStatus.DRAFT)
    for invoice in (unpaid | drafts).filter(order__in=subject.orders).select_related("order"):
        numbers.append(invoice.number or invoice.order.number)
    if subject.mails.filter(status__in=_UNDER_WAY).exists():
        numbers.append("mail")
    return list(dict.fromkeys(numbers))


def _owes(order: Order) -> bool:
    """Return whether money is owed either way; what the kitchen keeps of a canceled order is owed to nobody."""
    balance = order_money(order).balance
    return balance > 0 or (balance < 0 and order.canceled_money != Order.CanceledMoney.KEEP)
