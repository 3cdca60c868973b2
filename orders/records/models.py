"""Number series, the audit trail, and the base of documents with a status."""

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from orders.records.row_rules import RowRules
from orders.records.states import TransitionTable


class StatusDocument(models.Model):
    """A document whose status follows a transition table; ``orders.records.transitions`` alone changes it."""

    TRANSITIONS: ClassVar[TransitionTable]
    status = models.CharField(max_length=13)  # each document declares its own choices

    class Meta:
        abstract = True


class NumberSeries(models.Model):
    """The last number of a series; incremented only in the transaction that issues a document."""

    ROWS = RowRules(name="a number series", counts_up=("last",))

    code = models.CharField(max_length=20, primary_key=True)
    prefix = models.CharField(max_length=12)
    last = models.PositiveBigIntegerField(default=0)

    class Meta:
        verbose_name_plural = _("number series")

    def __str__(self) -> str:
        return f"{self.prefix}{self.last}"


class AuditEntry(models.Model):
    """Who changed which document from which status to which, and when."""

    ROWS = RowRules(name="what was written down", erasable=("note", "params.to"))

    document = models.CharField(max_length=20)
    document_pk = models.PositiveBigIntegerField()
    event = models.CharField(max_length=20)
    before = models.CharField(max_length=20, blank=True)
    after = models.CharField(max_length=20, blank=True)
    by = models.CharField(max_length=150, help_text="a user, or one of orders.records.actors")
    at = models.DateTimeField()
    note = models.TextField(blank=True, help_text="what a person wrote about it")
    params = models.JSONField(default=dict, blank=True, help_text="what a presenter says about it")

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = _("audit entries")
        indexes = [models.Index(fields=["document", "document_pk"], name="audit_of")]

    def __str__(self) -> str:
        return f"{self.document} {self.document_pk}: {self.event}"
