"""Suppliers' price lists as they were uploaded."""

from django.db import models
from django.utils.translation import gettext_lazy


class PriceList(models.Model):
    """A supplier's price list as it was uploaded, the rows read from it, and whether it was imported.

    The file itself goes after some time; its name and hash, when it came and from whom, and its rows stay.
    """

    class Status(models.TextChoices):
        WAITING = "waiting", gettext_lazy("being read")
        READ = "read", gettext_lazy("ready to check")
        UNREADABLE = "unreadable", gettext_lazy("could not be read")
        APPLIED = "applied", gettext_lazy("imported")
        DROPPED = "dropped", gettext_lazy("discarded")

    supplier = models.ForeignKey("catalog.Supplier", on_delete=models.PROTECT, related_name="price_lists")
    file_name = models.CharField(max_length=200)
    body = models.BinaryField()
    sha256 = models.CharField(max_length=64, blank=True)
    file_deleted_at = models.DateTimeField(null=True, blank=True)
    starts = models.DateField(help_text="first day the prices are in force")
    status = models.CharField(max_length=10, choices=Status, default=Status.WAITING)
    rows = models.JSONField(default=list)
    errors = models.JSONField(default=list)
    uploaded_at = models.DateTimeField()
    uploaded_by = models.CharField(max_length=150)
    applied_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.supplier}, {self.file_name}"
