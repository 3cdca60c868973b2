"""Exports to the bookkeeper."""

from django.db import models

from orders.invoices.models import Invoice
from orders.records.row_rules import RowRules


class ExportBatch(models.Model):
    """An export of documents to the bookkeeper; its files are stored and never change."""

    ROWS = RowRules(name="an export")

    number = models.PositiveIntegerField(unique=True)
    target = models.CharField(max_length=20, default="register")
    first_day = models.DateField()
    last_day = models.DateField()
    documents = models.PositiveIntegerField()
    total_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    csv = models.ForeignKey("orders.Document", on_delete=models.PROTECT, related_name="+")
    xlsx = models.ForeignKey("orders.Document", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=150)

    class Meta:
        ordering = ["-number"]
        verbose_name_plural = "export batches"

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
