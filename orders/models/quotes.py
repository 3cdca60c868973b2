"""Quotes, their private links and the customer's answer."""

from decimal import Decimal

from django.db import models
from django.db.models import Q

from catalog.fields import ExactDecimalField
from orders.states import QuoteStatus


class BookSnapshot(models.Model):
    """The Book a sent quote was computed with, kept once per content."""

    sha256 = models.CharField(max_length=64, unique=True)
    revision = models.PositiveBigIntegerField()
    body = models.TextField()
    created_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Book revision {self.revision}"


class Document(models.Model):
    """The bytes of an issued file. Never changed, never made again."""

    sha256 = models.CharField(max_length=64, db_index=True)
    file_name = models.CharField(max_length=120)
    media_type = models.CharField(max_length=80)
    body = models.BinaryField()
    created_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.file_name


class Quote(models.Model):
    """One revision of an offer. A draft is edited; what was sent never changes.

    ``content`` is canonical JSON of all that the customer is shown; ``content_sha256`` is its hash.
    """

    enquiry = models.ForeignKey("orders.Enquiry", on_delete=models.PROTECT, related_name="quotes")
    number = models.CharField(max_length=20)
    revision = models.PositiveSmallIntegerField(default=1)
    status = models.CharField(max_length=9, choices=QuoteStatus, default=QuoteStatus.DRAFT)
    replaces = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    created_at = models.DateTimeField()

    costing_date = models.DateField()
    discount = ExactDecimalField(default=Decimal(0))
    rush = models.BooleanField(default=False)
    note = models.TextField(blank=True, help_text="to the customer")
    valid_until = models.DateTimeField(null=True, blank=True)
    deposit_share = ExactDecimalField(default=Decimal("0.3"))
    deposit_days = models.PositiveSmallIntegerField(default=7)
    final_count_on = models.DateField(null=True, blank=True)
    balance_days = models.PositiveSmallIntegerField(default=7)
    cancellation_terms = models.TextField(blank=True)
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
                # A draft that was given up was never sent.
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

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField(default=0)
    product = models.ForeignKey("catalog.Product", on_delete=models.PROTECT, related_name="quote_lines")
    units = models.PositiveIntegerField()
    unit_price_minor = models.BigIntegerField(null=True, blank=True, help_text="given by hand")
    share = ExactDecimalField(null=True, blank=True, help_text="share of the table's pieces; empty for a centrepiece")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["quote", "product"], name="a_product_on_one_line")]

    def __str__(self) -> str:
        return f"{self.units} × {self.product}"


class QuoteExtra(models.Model):
    """One-off work or hire."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="extras")
    position = models.PositiveIntegerField(default=0)
    name = models.CharField(max_length=80)
    cost_minor = models.BigIntegerField(default=0)
    amount_minor = models.BigIntegerField()
    tax = models.ForeignKey("catalog.TaxCategory", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class Link(models.Model):
    """A private link to a quote. Only the token's hash is kept."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="links")
    token_sha256 = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    first_opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"link {self.pk} to {self.quote}"


class Approval(models.Model):
    """Evidence of a customer's yes: what, who, when, in which words. Written once."""

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="approval")
    link = models.ForeignKey(Link, on_delete=models.PROTECT, null=True, blank=True, related_name="approvals")
    content_sha256 = models.CharField(max_length=64)
    pdf_sha256 = models.CharField(max_length=64, blank=True)
    statement = models.TextField(help_text="the exact words agreed to")
    button = models.CharField(max_length=80)
    name = models.CharField(max_length=120)
    at = models.DateTimeField()
    ip = models.GenericIPAddressField(null=True, blank=True)
    user_agent = models.CharField(max_length=300, blank=True)
    recorded_by = models.CharField(
        max_length=150, blank=True, help_text="set when the kitchen recorded a yes given otherwise"
    )
    pdf = models.ForeignKey(Document, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.quote} approved by {self.name}"


class Message(models.Model):
    """What a customer or the kitchen said about a quote."""

    class Kind(models.TextChoices):
        CHANGE = "change", "asked for a change"
        DECLINE = "decline", "declined"
        REPLY = "reply", "reply"

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="messages")
    kind = models.CharField(max_length=7, choices=Kind)
    text = models.TextField(blank=True)
    by = models.CharField(max_length=150)
    at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.text[:40]}"
