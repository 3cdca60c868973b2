"""Suppliers' price lists as they were uploaded."""

from django.db import models
from django.utils.translation import gettext_lazy


class PriceList(models.Model):
    """A supplier's price list as it was uploaded, the rows read from it, and whether it was imported.

    The file itself goes after some time; its name and hash, when it came and from whom, and its rows stay. ``lines``
    are the rows as written (and corrected), ``rows`` what importing them does, ``errors`` their problems.
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
    # Grows with everything that is done to the list: of two windows one acts on what it shows.
    step = models.PositiveIntegerField(default=0)
    choice = models.JSONField(default=dict, blank=True, help_text="place of each column, as chosen for this file")
    reading = models.JSONField(default=dict, blank=True, help_text="columns read, their heads, the first rows")
    lines = models.JSONField(default=list)
    rows = models.JSONField(default=list)
    errors = models.JSONField(default=list)
    uploaded_at = models.DateTimeField()
    uploaded_by = models.CharField(max_length=150)
    # What the import made and ended, so that it can be undone; then what undoing left, and why.
    made = models.JSONField(default=dict, blank=True)
    undone = models.JSONField(default=dict, blank=True)
    applied_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.supplier}, {self.file_name}"
