"""Orders: approved quotes that must be made, delivered and paid for."""

from collections.abc import Mapping
from copy import copy
from typing import Any

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from orders.inquiries.models import Inquiry
from orders.records.models import StatusDocument
from orders.records.row_rules import InForce, RowRules
from orders.records.states import ORDER_TRANSITIONS, OrderStatus, QuoteStatus


class Order(StatusDocument):
    """An order: an approved quote that must be made, handed over and paid for."""

    TRANSITIONS = ORDER_TRANSITIONS
    ROWS = RowRules(
        name="an order",
        # The hours stay as entered when the kitchen's time zone is corrected (orders/orders/event_hours.py).
        mutable=("note", "window_start", "window_end", "event_in_force", "bill_to"),
        # What an approved amendment changes is written by the statement that puts it in force.
        in_force=InForce("quote", "amends", QuoteStatus.APPROVED),
        rewritten_with=dict.fromkeys(
            ("title", "total_minor", "deposit_minor", "deposit_due_on", "final_count_on"), "quote"
        ),
        with_status={
            OrderStatus.DELIVERED: ("delivered_at",),
            OrderStatus.CANCELED: (
                *("canceled_at", "canceled_reason", "canceled_money"),
                *("canceled_by", "canceled_terms", "retained_minor", "retained_reason"),
            ),
        },
        erasable=("title", "canceled_reason", "retained_reason"),
    )

    class CanceledMoney(models.TextChoices):
        REFUND = "refund", _("Refund it to the customer")
        CREDIT = "credit", _("Hold it as customer credit")
        KEEP = "keep", _("The kitchen retains it under the cancellation terms")

    class CanceledBy(models.TextChoices):
        CUSTOMER = "customer", _("The customer")
        KITCHEN = "kitchen", _("The kitchen")

    number = models.CharField(max_length=20, unique=True)
    quote = models.OneToOneField("orders.Quote", on_delete=models.PROTECT, related_name="order")
    customer = models.ForeignKey("orders.Customer", on_delete=models.PROTECT, related_name="orders")
    status = models.CharField(max_length=13, choices=OrderStatus, default=OrderStatus.CONFIRMED)
    title = models.CharField(max_length=120)
    window_start = models.DateTimeField()
    window_end = models.DateTimeField()
    currency = models.CharField(max_length=3)
    total_minor = models.BigIntegerField()
    deposit_minor = models.BigIntegerField(default=0)
    deposit_due_on = models.DateField(null=True, blank=True)
    final_count_on = models.DateField(null=True, blank=True)
    confirmed_at = models.DateTimeField()
    delivered_at = models.DateTimeField(null=True, blank=True)
    canceled_at = models.DateTimeField(null=True, blank=True)
    canceled_reason = models.CharField(max_length=300, blank=True)
    canceled_money = models.CharField(
        max_length=6, choices=CanceledMoney, blank=True, help_text="what happens with money that came in"
    )
    # Of an order that was canceled by the table of its terms.
    canceled_by = models.CharField(max_length=8, choices=CanceledBy, blank=True, help_text="who canceled it")
    canceled_terms = models.JSONField(
        null=True, blank=True, help_text="the row that applied, the tax of what is kept, begun work and bought goods"
    )
    retained_minor = models.BigIntegerField(null=True, blank=True, help_text="what the kitchen keeps of the total")
    retained_reason = models.CharField(max_length=300, blank=True, help_text="why it keeps less than its terms say")
    note = models.TextField(blank=True, help_text="for the kitchen")
    bill_to = models.JSONField(
        null=True, blank=True, help_text="name, address, country and tax number for the invoice, where they are others"
    )
    event_in_force = models.JSONField(
        null=True, blank=True, help_text="columns of its inquiry as they are in force while an amendment is open"
    )

    class Meta:
        ordering = ["window_start", "pk"]
        indexes = [
            models.Index(fields=["status", "deposit_due_on"], name="order_deposit_due"),
            models.Index(fields=["status", "window_start"], name="order_by_day"),
            models.Index(fields=["window_start", "id"], name="order_by_window"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(status__in=OrderStatus.values), name="order_status_known"),
            models.CheckConstraint(
                condition=Q(retained_minor__isnull=True)
                | Q(status=OrderStatus.CANCELED, retained_minor__gte=0, retained_minor__lte=F("total_minor")),
                name="order_retains_at_most_its_total",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"

    @property
    def terms_applied(self) -> Mapping[str, Any]:
        """What is recorded of a cancellation by the table of its terms; empty for any other order."""
        return self.canceled_terms or {}

    @property
    def event(self) -> Inquiry:
        """Its inquiry as it is in force: while an amendment is open, the inquiry itself has what is wanted."""
        inquiry: Inquiry = self.quote.inquiry
        if self.event_in_force is None:
            return inquiry
        agreed = copy(inquiry)
        agreed.window_start, agreed.window_end = self.window_start, self.window_end
        for name, value in self.event_in_force.items():
            field: models.Field[Any, Any] = Inquiry._meta.get_field(name)  # type: ignore[assignment]  # its own columns
            setattr(agreed, name, field.to_python(value))
        return agreed


class OrderLine(models.Model):
    """A line of the approved quote; the kitchen's sheets sum these."""

    # The lines of an amendment take the place of the others just before it is in force.
    ROWS = RowRules(name="a line of an order", added_until=("order", "confirm"), renewed_with="order")

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField(default=0)
    product = models.ForeignKey("catalog.Product", on_delete=models.PROTECT, related_name="order_lines")
    name = models.CharField(max_length=120)
    units = models.PositiveIntegerField()

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"{self.units} × {self.name}"
