"""Invoices, credit notes and payments. Amounts are whole minor units."""

from decimal import Decimal
from typing import Final

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from catalog.records.fields import ExactDecimalField
from orders.orders.models import Order
from orders.records.models import StatusDocument
from orders.records.row_rules import RowRules
from orders.records.states import INVOICE_TRANSITIONS, InvoiceStatus


class Invoice(StatusDocument):
    """An invoice (UNTDID 1001 code 380) or credit note (381). Once issued, only its status changes."""

    TRANSITIONS = INVOICE_TRANSITIONS
    ROWS = RowRules(name="an issued invoice", mutable=("next_on",), set_once=("pdf",), drafts=True)

    class Kind(models.TextChoices):
        INVOICE = "380", _("invoice")
        CREDIT_NOTE = "381", _("credit note")

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="invoices")
    kind = models.CharField(max_length=3, choices=Kind, default=Kind.INVOICE)
    status = models.CharField(max_length=9, choices=InvoiceStatus, default=InvoiceStatus.DRAFT)
    number = models.CharField(max_length=20, unique=True, null=True, blank=True)
    credits = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="credit_notes")
    # The approved change of the order that a further invoice or a credit note is about.
    settles = models.ForeignKey("orders.Quote", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    charges_cancellation = models.BooleanField(default=False, help_text="for what is kept of a canceled order")
    reason = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()
    issued_at = models.DateTimeField(null=True, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    issued_by = models.CharField(max_length=150, blank=True)
    supply_on = models.DateField()
    due_on = models.DateField(null=True, blank=True)
    # Of one in several payments: when the first that is not paid is due; written along with its status.
    next_on = models.DateField(null=True, blank=True)
    currency = models.CharField(max_length=3)
    prices = models.CharField(max_length=5, default="net")
    seller = models.JSONField(default=dict)
    buyer = models.JSONField(default=dict)
    note = models.TextField(blank=True)
    net_minor = models.BigIntegerField(default=0)
    tax_minor = models.BigIntegerField(default=0)
    total_minor = models.BigIntegerField(default=0)
    prepaid_minor = models.BigIntegerField(default=0)
    due_minor = models.BigIntegerField(default=0)
    content_sha256 = models.CharField(max_length=64, blank=True)
    pdf = models.ForeignKey("orders.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    idempotency_key = models.CharField(
        max_length=32, unique=True, null=True, blank=True, help_text="a double click makes one credit note"
    )

    class Meta:
        ordering = ["-issued_on", "-pk"]
        indexes = [
            models.Index(fields=["status", "kind", "due_on"], name="invoice_open"),
            models.Index(fields=["issued_on", "id"], name="invoice_by_day"),
            models.Index(fields=["kind", "issued_on", "id"], name="invoice_kind_by_day"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(status__in=InvoiceStatus.values), name="invoice_status_known"),
            models.CheckConstraint(
                condition=Q(status="draft", number__isnull=True, issued_at__isnull=True)
                | (~Q(status="draft") & Q(number__isnull=False, issued_at__isnull=False, issued_on__isnull=False)),
                name="issued_has_number",
            ),
            models.CheckConstraint(
                condition=Q(total_minor=F("net_minor") + F("tax_minor")), name="total_is_net_and_tax"
            ),
            models.CheckConstraint(
                condition=Q(due_minor=F("total_minor") - F("prepaid_minor")), name="due_is_total_less_prepaid"
            ),
            models.CheckConstraint(
                condition=Q(kind="380", credits__isnull=True) | Q(kind="381", credits__isnull=False),
                name="credit_note_names_invoice",
            ),
        ]

    def __str__(self) -> str:
        return self.number or f"draft {self.get_kind_display()} {self.pk}"

    @property
    def is_credit_note(self) -> bool:
        """Whether it gives back what an invoice asked for."""
        return self.kind == self.Kind.CREDIT_NOTE

    @property
    def kind_and_number(self) -> str:
        """What it is and its number, as in "credit note C-00001"."""
        return f"{self.get_kind_display()} {self.number}"


#: What asks for money, and what gives it back: for filters and sums of invoices.
IS_INVOICE: Final = Q(kind=Invoice.Kind.INVOICE)
IS_CREDIT_NOTE: Final = Q(kind=Invoice.Kind.CREDIT_NOTE)
#: What asks for what is kept of a canceled order.
IS_CHARGE: Final = Q(kind=Invoice.Kind.INVOICE, charges_cancellation=True)


class InvoiceLine(models.Model):
    """A line, or an allowance (BG-20) or charge (BG-21) on the whole; ``net_minor`` is without tax (BT-131)."""

    ROWS = RowRules(name="a line of an issued invoice", part_of="invoice")

    class Kind(models.TextChoices):
        LINE = "line", _("line")
        ALLOWANCE = "allowance", _("discount on the total")
        CHARGE = "charge", _("charge on the total")

    kind = models.CharField(max_length=9, choices=Kind, default=Kind.LINE)
    credits = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="credited_by")
    invoice = models.ForeignKey(Invoice, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField(default=0)
    name = models.CharField(max_length=200)
    quantity = ExactDecimalField()
    unit_code = models.CharField(max_length=3, default="H87", help_text="UN/ECE Recommendation 20")
    # As the customer agreed it: including tax when the document's prices are gross.
    unit_price_minor = models.BigIntegerField()
    amount_minor = models.BigIntegerField()
    net_minor = models.BigIntegerField()
    tax_code = models.CharField(max_length=80)
    tax_name = models.CharField(max_length=80)
    untdid = models.CharField(max_length=1, default="S")
    rate = ExactDecimalField()

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def percent(self) -> Decimal:
        """The rate as people write it: 8.25 for 0.0825."""
        return Decimal(self.rate) * 100


class InvoiceTax(models.Model):
    """The tax of one category and rate (BG-23): rounded once on the sum."""

    ROWS = RowRules(name="the tax of an issued invoice", part_of="invoice")

    invoice = models.ForeignKey(Invoice, on_delete=models.CASCADE, related_name="taxes")
    position = models.PositiveIntegerField(default=0)
    tax_code = models.CharField(max_length=80)
    tax_name = models.CharField(max_length=80)
    untdid = models.CharField(max_length=1, default="S")
    exempt_reason = models.CharField(max_length=200, blank=True)
    rate = ExactDecimalField()
    taxable_minor = models.BigIntegerField()
    tax_minor = models.BigIntegerField()

    class Meta:
        ordering = ["position", "pk"]
        verbose_name_plural = _("invoice taxes")

    def __str__(self) -> str:
        return f"{self.tax_name} {self.rate}"

    @property
    def percent(self) -> Decimal:
        """The rate as people write it: 8.25 for 0.0825."""
        return Decimal(self.rate) * 100


class InvoicePart(models.Model):
    """A payment of an invoice that is due in several; together they are what is due of it, what is due first first.

    An invoice that is due on one day has none.
    """

    ROWS = RowRules(name="a payment of an issued invoice", part_of="invoice")

    invoice = models.ForeignKey(Invoice, on_delete=models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField(default=0)
    amount_minor = models.BigIntegerField()
    due_on = models.DateField()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "due_on"], name="one_part_of_a_day"),
            models.CheckConstraint(condition=Q(amount_minor__gt=0), name="part_of_something"),
        ]

    def __str__(self) -> str:
        return f"{self.amount_minor} by {self.due_on:%Y-%m-%d}"


class Payment(models.Model):
    """A payment or a refund. A mistake is corrected by a row that reverses it."""

    ROWS = RowRules(name="a recorded payment", erasable=("note",))

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", _("deposit")
        PAYMENT = "payment", _("payment")
        REFUND = "refund", _("refund")

    class Method(models.TextChoices):
        """UNTDID 4461 payment means codes."""

        CASH = "10", _("cash")
        CHEQUE = "20", pgettext_lazy("payment method", "check")
        TRANSFER = "30", _("bank transfer")
        CARD = "48", _("card")
        ONLINE = "68", _("online payment")
        # Clearing between partners (from memory): credit of one order used for another, never chosen by hand.
        CREDIT = "97", _("credit of another order")

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="payments")
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    kind = models.CharField(max_length=7, choices=Kind)
    method = models.CharField(max_length=2, choices=Method)
    # Signed: money in is positive, money back is negative.
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    received_on = models.DateField()
    reference = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")
    # Of credit that was carried from another order: the refund there.
    carried_from = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="carried_to")
    idempotency_key = models.CharField(
        max_length=32, unique=True, help_text="the form's one-time key: a double click records one payment"
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.CharField(max_length=150)

    class Meta:
        ordering = ["received_on", "pk"]
        indexes = [models.Index(fields=["received_on", "id"], name="payment_by_day")]
        constraints = [
            models.CheckConstraint(condition=~Q(amount_minor=0), name="payment_not_zero"),
            models.CheckConstraint(
                condition=Q(reverses__isnull=False)
                | Q(kind="refund", amount_minor__lt=0)
                | (~Q(kind="refund") & Q(amount_minor__gt=0)),
                name="payment_sign",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount_minor} {self.currency}"


class ScheduledPayment(models.Model):
    """A payment of an order's schedule before its invoice, as the approved content has it; ``due_on`` is its last day.

    ``upto_minor`` is the sum up to it: what is received for the order fills the payments in their order.
    """

    # Those of an amendment take the place of the others just before it is in force.
    ROWS = RowRules(name="a payment of a schedule", added_until=("order", "confirm"), renewed_with="order")

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", _("deposit")
        PAYMENT = "payment", _("payment")

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="scheduled")
    position = models.PositiveSmallIntegerField(default=0)
    kind = models.CharField(max_length=7, choices=Kind)
    amount_minor = models.BigIntegerField()
    upto_minor = models.BigIntegerField()
    due_on = models.DateField()

    class Meta:
        ordering = ["position", "pk"]
        indexes = [models.Index(fields=["due_on", "order"], name="scheduled_by_day")]
        constraints = [
            models.UniqueConstraint(fields=["order", "due_on"], name="one_payment_of_a_day"),
            models.CheckConstraint(
                condition=Q(amount_minor__gt=0, upto_minor__gte=F("amount_minor")), name="scheduled_amounts"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount_minor} by {self.due_on:%Y-%m-%d}"


class PaymentPaper(models.Model):
    """A payment request, or the receipt of a payment: numbered, with its content; neither is an invoice.

    ``content`` is canonical JSON of everything on it (``orders.invoices.paper_content``), ``content_sha256`` its hash.
    """

    ROWS = RowRules(name="an issued payment request or receipt", set_once=("pdf",))

    class Kind(models.TextChoices):
        REQUEST = "request", _("payment request")
        RECEIPT = "receipt", _("receipt")

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="papers")
    kind = models.CharField(max_length=7, choices=Kind)
    number = models.CharField(max_length=20, unique=True)
    # Of a receipt: the payment, or the first part of one that was divided.
    payment = models.OneToOneField(Payment, on_delete=models.PROTECT, null=True, blank=True, related_name="receipt")
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    due_on = models.DateField(null=True, blank=True)
    issued_at = models.DateTimeField()
    issued_on = models.DateField()
    issued_by = models.CharField(max_length=150)
    content = models.TextField()
    content_sha256 = models.CharField(max_length=64)
    pdf = models.ForeignKey("orders.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="request", payment__isnull=True, due_on__isnull=False)
                | Q(kind="receipt", payment__isnull=False, due_on__isnull=True),
                name="paper_of_its_kind",
            ),
            models.CheckConstraint(condition=Q(amount_minor__gt=0), name="paper_of_something"),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def kind_and_number(self) -> str:
        """What it is and its number, as in "receipt RC-00001"."""
        return f"{self.get_kind_display()} {self.number}"


class IssuedMonth(models.Model):
    """The sums of one kind of document issued in a month in one currency; not signed.

    Written in the commit that issues the document (`orders.invoices.running_sums`), so that totals over all documents
    need not read them all. What was issued never changes, so neither does a sum, except by the next document.
    """

    month = models.DateField(help_text="its first day")
    currency = models.CharField(max_length=3)
    kind = models.CharField(max_length=3, choices=Invoice.Kind)
    documents = models.PositiveIntegerField(default=0)
    net_minor = models.BigIntegerField(default=0)
    tax_minor = models.BigIntegerField(default=0)
    total_minor = models.BigIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["month", "currency", "kind"], name="one_sum_per_month")]

    def __str__(self) -> str:
        return f"{self.kind} in {self.currency} in {self.month:%Y-%m}"


class IssuedMonthTax(models.Model):
    """The sums of one tax and rate of the documents of an :class:`IssuedMonth`; ``rows`` of `InvoiceTax` make them."""

    month = models.DateField(help_text="its first day")
    currency = models.CharField(max_length=3)
    kind = models.CharField(max_length=3, choices=Invoice.Kind)
    tax_name = models.CharField(max_length=80)
    rate = ExactDecimalField()
    rows = models.PositiveIntegerField(default=0)
    taxable_minor = models.BigIntegerField(default=0)
    tax_minor = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["month", "currency", "kind", "tax_name", "rate"], name="one_sum_per_month_and_tax"
            )
        ]

    def __str__(self) -> str:
        return f"{self.tax_name} {self.rate} in {self.month:%Y-%m}"


class OrderAccount(models.Model):
    """What an order's issued documents ask for, and what was received for it; written in the same commit as they."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="accounts")
    currency = models.CharField(max_length=3)
    asked_minor = models.BigIntegerField(default=0, help_text="invoices less credit notes")
    received_minor = models.BigIntegerField(default=0, help_text="payments less refunds")

    class Meta:
        indexes = [
            # Few orders are ever in credit: the page of money due reads those alone.
            models.Index(fields=["order"], condition=Q(received_minor__gt=F("asked_minor")), name="order_in_credit")
        ]
        constraints = [models.UniqueConstraint(fields=["order", "currency"], name="one_account_per_currency")]

    def __str__(self) -> str:
        return f"account of order {self.order_id} in {self.currency}"
