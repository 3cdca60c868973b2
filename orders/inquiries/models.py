"""Customers and their inquiries."""

from math import ceil

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.records.fields import ExactDecimalField


class Customer(models.Model):
    """A person or firm that asks for desserts."""

    class Kind(models.TextChoices):
        PRIVATE = "private", _("private")
        PLANNER = "planner", _("event planner")
        VENUE = "venue", _("venue")
        BUSINESS = "business", _("business")

    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True)
    country = models.CharField(max_length=2, blank=True, help_text="ISO 3166-1 code")
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.PRIVATE)
    tax_exempt = models.BooleanField(default=False)
    tax_number = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class Inquiry(models.Model):
    """An inquiry: the guests, the day, the place."""

    class HandOver(models.TextChoices):
        DELIVERY = "delivery", _("delivery")
        PICKUP = "pickup", _("pickup at the kitchen")

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="inquiries")
    title = models.CharField(max_length=120, help_text="such as Wedding of Ida and Jon")
    received_at = models.DateTimeField()
    # The desserts are handed over (or collected) within this window.
    window_start = models.DateTimeField()
    window_end = models.DateTimeField()
    hand_over = models.CharField(max_length=8, choices=HandOver, default=HandOver.DELIVERY)
    place = models.CharField(max_length=200, blank=True)
    # Both one way.
    km = ExactDecimalField(null=True, blank=True)
    minutes = ExactDecimalField(null=True, blank=True)
    crew = models.PositiveSmallIntegerField(default=1)
    setup_minutes = ExactDecimalField(null=True, blank=True)
    guests = models.PositiveIntegerField(null=True, blank=True)
    pieces_per_guest = ExactDecimalField(null=True, blank=True)
    budget_minor = models.BigIntegerField(null=True, blank=True)
    allergies = models.JSONField(default=list, blank=True, help_text="what guests cannot or do not eat: codes")
    need_counts = models.JSONField(default=dict, blank=True, help_text="code -> how many guests, where that was said")
    allergy_note = models.TextField(blank=True)
    # When somebody noted that the customer was asked and named none; empty while nobody asked, or needs are named.
    asked_none_at = models.DateTimeField(null=True, blank=True)
    asked_none_by = models.CharField(max_length=150, blank=True)
    note = models.TextField(blank=True)
    copied_from = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True, related_name="copies")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True)
    idempotency_key = models.CharField(
        max_length=32,
        unique=True,
        null=True,
        blank=True,
        help_text="the form's one-time key: a double click makes one inquiry",
    )

    class Meta:
        ordering = ["window_start", "pk"]
        verbose_name_plural = _("inquiries")
        indexes = [models.Index(fields=["closed_at", "window_start"], name="inquiry_open")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(window_end__gte=models.F("window_start")), name="window_in_order"
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def asked_none(self) -> bool:
        """Whether the customer was asked what guests do not eat, and named nothing."""
        return self.asked_none_at is not None and not self.allergies

    @property
    def not_asked(self) -> bool:
        """Whether nobody asked what guests do not eat, and nothing is known of it."""
        return self.asked_none_at is None and not self.allergies and not self.allergy_note.strip()

    @property
    def travel_minutes(self) -> int:
        """The minutes between leaving the kitchen and handing over: the way, and setting the table up."""
        if self.hand_over != self.HandOver.DELIVERY:
            return 0
        return ceil((self.minutes or 0) + (self.setup_minutes or 0))
