"""Exports to the bookkeeper."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from orders.invoices.models import Invoice
from orders.records.row_rules import RowRules


class ExportBatch(models.Model):
    """An export of documents to the bookkeeper. Its files are written after the commit, stored, and never change.

    What is in them is fixed by its items: an issued document never changes. A large batch has no ``xlsx``.
    """

    ROWS = RowRules(name="an export", set_once=("csv", "xlsx"))

    number = models.PositiveIntegerField(unique=True)
    target = models.CharField(max_length=20, default="register")
    first_day = models.DateField()
    last_day = models.DateField()
    documents = models.PositiveIntegerField()
    total_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    csv = models.ForeignKey("orders.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    xlsx = models.ForeignKey("orders.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=150)

    class Meta:
        ordering = ["-number"]
        verbose_name_plural = _("export batches")

    def __str__(self) -> str:
        return f"export {self.number}"


class ExportItem(models.Model):
    """A document in an export batch; once per target."""

    ROWS = RowRules(name="what an export holds")

    batch = models.ForeignKey(ExportBatch, on_delete=models.PROTECT, related_name="items")
    target = models.CharField(max_length=20, default="register")
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="exports")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["target", "invoice"], name="exported_once")]

    def __str__(self) -> str:
        return f"{self.invoice} in {self.batch}"


class ExportMonth(models.Model):
    """How many documents issued in a month an export holds: written with its items.

    Where these make up all that was issued in a month, nobody needs to look for what is in no export yet.
    """

    ROWS = RowRules(name="what an export holds")

    batch = models.ForeignKey(ExportBatch, on_delete=models.PROTECT, related_name="months")
    month = models.DateField(help_text="its first day")
    documents = models.PositiveIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["batch", "month"], name="one_count_per_export_and_month")]

    def __str__(self) -> str:
        return f"{self.documents} of {self.month:%Y-%m} in {self.batch}"
