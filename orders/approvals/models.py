"""Private links, approvals and messages: the customer's side of a quote."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from orders.documents.models import Document
from orders.quotes.models import Quote
from orders.records.row_rules import RowRules


class Link(models.Model):
    """A private link to a quote. Only the token's hash is stored."""

    ROWS = RowRules(name="a private link", set_once=("first_opened_at", "revoked_at"), erasable=("first_opened_at",))

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
    """A customer's approval with its evidence: what, who, when, in which words. Never changed.

    It has the window that was chosen where the quote offered several; without a choice it is the content's.
    """

    ROWS = RowRules(name="an approval", set_once=("pdf",), erasable=("name", "ip", "user_agent"))

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="approval")
    link = models.ForeignKey(Link, on_delete=models.PROTECT, null=True, blank=True, related_name="approvals")
    content_sha256 = models.CharField(max_length=64)
    pdf_sha256 = models.CharField(max_length=64, blank=True)
    statement = models.TextField(help_text="the exact words agreed to")
    window_start = models.DateTimeField(null=True, blank=True)
    window_end = models.DateTimeField(null=True, blank=True)
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
    """A message of a customer or of the kitchen about a quote."""

    ROWS = RowRules(name="a message", set_once=("seen_at",), erasable=("text", "by"))

    class Kind(models.TextChoices):
        CHANGE = "change", _("asked for a change")
        DECLINE = "decline", _("declined")
        REPLY = "reply", _("reply")

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="messages")
    kind = models.CharField(max_length=7, choices=Kind)
    text = models.TextField(blank=True)
    # Of a change of an order: the units by code of each dessert that should be another count, and the guests.
    wants = models.JSONField(null=True, blank=True)
    by = models.CharField(max_length=150)
    at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.text[:40]}"
