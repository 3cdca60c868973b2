"""Quotes with their lines and extras, and the Book each was computed with."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from catalog.records.fields import ExactDecimalField
from orders.documents.models import Document
from orders.records.models import StatusDocument
from orders.records.row_rules import ERASED, RowRules
from orders.records.states import QUOTE_TRANSITIONS, QuoteStatus

#: What is personal in a quote's content, by its place, and what stands there after it was erased.
PERSONAL: Final[Mapping[str, str | list[str] | bool]] = {
    "customer.name": ERASED,
    "customer.legal_name": "",
    "customer.address": "",
    "customer.country": "",
    "customer.email": "",
    "customer.phone": "",
    "customer.tax_number": "",
    "event.title": ERASED,
    "event.place": "",
    "event.allergies": [],
    "event.allergy_note": "",
    "needs": [],
    "named_none": False,
    "note": "",
}


class BookSnapshot(models.Model):
    """The Book a sent quote was computed with, stored once per content."""

    ROWS = RowRules(name="the Book of a sent quote")

    sha256 = models.CharField(max_length=64, unique=True)
    revision = models.PositiveBigIntegerField()
    body = models.TextField()
    created_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Book revision {self.revision}"


class Quote(StatusDocument):
    """One revision of a quote. A draft can be edited; a sent quote never changes.

    ``content`` is canonical JSON of everything the customer is shown; ``content_sha256`` is its hash. ``window_chosen``
    is the number of the window that was approved, where it offers others beside the one asked for, which is 0.
    """

    TRANSITIONS = QUOTE_TRANSITIONS
    ROWS = RowRules(
        name="a sent quote",
        set_once=("pdf", "answered_at", "window_chosen"),
        drafts=True,
        # What came to nothing is no document of the books; a number that was approved is, with all its revisions.
        erased_after=(QuoteStatus.DECLINED, QuoteStatus.EXPIRED, QuoteStatus.WITHDRAWN),
        standing_with=("number", QuoteStatus.APPROVED),
        erasable=("note", "pdf"),
        erased_inside={"content": PERSONAL},
        rewritten_with={"content_sha256": "content"},
    )

    inquiry = models.ForeignKey("orders.Inquiry", on_delete=models.PROTECT, related_name="quotes")
    number = models.CharField(max_length=20)
    revision = models.PositiveSmallIntegerField(default=1)
    status = models.CharField(max_length=9, choices=QuoteStatus, default=QuoteStatus.DRAFT)
    # Of an amendment: the order it changes, once the customer approves it.
    amends = models.ForeignKey(
        "orders.Order", on_delete=models.PROTECT, null=True, blank=True, related_name="amendments"
    )
    replaces = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    created_at = models.DateTimeField()

    costing_date = models.DateField()
    discount = ExactDecimalField(default=Decimal(0))
    rush = models.BooleanField(default=False)
    note = models.TextField(blank=True, help_text="to the customer")
    # Of a draft: empty where it is the kitchen's usual one, computed when it is sent; so is a usual final count.
    valid_until = models.DateTimeField(null=True, blank=True)
    deposit_share = ExactDecimalField(default=Decimal("0.3"))
    deposit_days = models.PositiveSmallIntegerField(default=7)
    deposit_fixed_minor = models.BigIntegerField(null=True, blank=True, help_text="an amount, instead of the share")
    payments_before = models.JSONField(default=list, blank=True, help_text="what is due before the event")
    final_count_on = models.DateField(null=True, blank=True)
    final_count_usual = models.BooleanField(default=True)
    #: The share by which the count may fall after that; empty: as agreed.
    final_count_fall = ExactDecimalField(null=True, blank=True)
    balance_days = models.PositiveSmallIntegerField(default=7)
    payments_after = models.JSONField(default=list, blank=True, help_text="what divides the balance")
    cancellation_terms = models.TextField(blank=True)
    cancellation_table = models.JSONField(default=list, blank=True, help_text="what is kept by days before the event")
    override_reason = models.CharField(max_length=300, blank=True, help_text="why it may go below the floor margin")
    override_by = models.CharField(max_length=150, blank=True)
    override_at = models.DateTimeField(null=True, blank=True)

    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.CharField(max_length=150, blank=True)
    book = models.ForeignKey(BookSnapshot, on_delete=models.PROTECT, null=True, blank=True, related_name="quotes")
    brief = models.TextField(blank=True)
    estimate = models.TextField(blank=True)
    content = models.TextField(blank=True)
    content_sha256 = models.CharField(max_length=64, blank=True)
    currency = models.CharField(max_length=3)
    total_minor = models.BigIntegerField(null=True, blank=True)
    deposit_minor = models.BigIntegerField(null=True, blank=True)
    goods_margin = ExactDecimalField(null=True, blank=True)
    pdf = models.ForeignKey(Document, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)
    window_chosen = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["status", "valid_until"], name="quote_waiting"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["number", "revision"], name="one_quote_revision"),
            models.UniqueConstraint(fields=["number"], condition=Q(status="draft"), name="one_draft_per_number"),
            models.UniqueConstraint(fields=["number"], condition=Q(status="sent"), name="one_sent_per_number"),
            models.UniqueConstraint(fields=["number"], condition=Q(status="approved"), name="one_approved_per_number"),
            models.CheckConstraint(condition=Q(status__in=QuoteStatus.values), name="quote_status_known"),
            models.CheckConstraint(
                condition=Q(status="draft")
                # A discarded draft was never sent.
                | Q(status="withdrawn", sent_at__isnull=True)
                | (
                    Q(
                        sent_at__isnull=False,
                        book__isnull=False,
                        total_minor__isnull=False,
                        valid_until__isnull=False,
                    )
                    & ~Q(content_sha256="")
                ),
                name="sent_quote_is_complete",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} revision {self.revision}"


class QuoteLine(models.Model):
    """A product and how many of it. The price is the rule's, the list's, or given by hand."""

    ROWS = RowRules(name="a line of a sent quote", part_of="quote")

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField(default=0)
    product = models.ForeignKey("catalog.Product", on_delete=models.PROTECT, related_name="quote_lines")
    units = models.PositiveIntegerField()
    unit_price_minor = models.BigIntegerField(null=True, blank=True, help_text="given by hand")
    share = ExactDecimalField(
        null=True, blank=True, help_text=_("share of the table’s pieces; empty for a centerpiece")
    )

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["quote", "product"], name="a_product_on_one_line")]

    def __str__(self) -> str:
        return f"{self.units} × {self.product}"


class CoolingOverride(models.Model):
    """What is measured instead where something of a quote breaks the cooling rule in force, and by whom.

    It is about a product or, where a batch is judged by itself, about a recipe. Rows are only added; the latest about
    each counts. ``mark`` stands for the steps and the verdict it was recorded for.
    """

    ROWS = RowRules(name="what is measured instead", deleted_when_erased=True)

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="cooling_overrides")
    product = models.ForeignKey(
        "catalog.Product", on_delete=models.PROTECT, null=True, blank=True, related_name="cooling_overrides"
    )
    recipe = models.ForeignKey(
        "catalog.Recipe", on_delete=models.PROTECT, null=True, blank=True, related_name="cooling_overrides"
    )
    rule = models.CharField(max_length=200, help_text="the rule it breaks")
    measured = models.CharField(max_length=300, help_text="what is measured instead, and when")
    measured_by = models.CharField(max_length=80, help_text="who measures it")
    mark = models.CharField(max_length=20)
    recorded_by = models.CharField(max_length=150)
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(product__isnull=False, recipe__isnull=True) | Q(product__isnull=True, recipe__isnull=False),
                name="override_of_product_or_recipe",
            ),
            models.CheckConstraint(condition=~Q(measured="") & ~Q(measured_by=""), name="override_says_what_and_who"),
        ]

    def __str__(self) -> str:
        return f"{self.measured}, by {self.measured_by}"


class QuoteExtra(models.Model):
    """One-off work or rental. Food, or what touches food, is asked for its allergens as an ingredient is."""

    class Food(models.TextChoices):
        NOT_ASKED = "", _("not checked yet")
        NONE = "none", _("not food, touches none")
        CHECKED = "checked", _("label read")

    ROWS = RowRules(name="an extra of a sent quote", part_of="quote")

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="extras")
    position = models.PositiveIntegerField(default=0)
    name = models.CharField(max_length=80)
    cost_minor = models.BigIntegerField(default=0)
    amount_minor = models.BigIntegerField()
    tax = models.ForeignKey("catalog.TaxCategory", on_delete=models.PROTECT, related_name="+")
    food = models.CharField(max_length=7, choices=Food, default=Food.NOT_ASKED, blank=True)
    allergens = models.JSONField(default=list, blank=True)
    may_contain = models.JSONField(default=list, blank=True)
    free_of = models.JSONField(default=list, blank=True, help_text="asked of its label, and not in it")
    # Beside them, under ``free_by.FREE_BY``, how it is known what it is free of.
    diet_answers = models.JSONField(default=dict, blank=True, help_text="asked besides allergens: contains or free")

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name
