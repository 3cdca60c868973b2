"""Spreadsheets as they were uploaded."""

from django.db import models
from django.utils.translation import gettext_lazy


class Spreadsheet(models.Model):
    """A file with rows of the kitchen's own, what was read from it, and what importing it did.

    ``grid`` has the rows of the chosen sheet as text, ``lines`` those below the heads by column (and as corrected),
    ``plan`` what importing them does. The file and the grid go after some time.
    """

    class Holds(models.TextChoices):
        RECIPES = "recipes", gettext_lazy("recipes")
        INGREDIENTS = "ingredients", gettext_lazy("ingredients")
        PRODUCTS = "products", gettext_lazy("products")
        CUSTOMERS = "customers", gettext_lazy("customers")

    class Status(models.TextChoices):
        WAITING = "waiting", gettext_lazy("being read")
        CHOOSE = "choose", gettext_lazy("columns to choose")
        READ = "read", gettext_lazy("ready to check")
        UNREADABLE = "unreadable", gettext_lazy("could not be read")
        APPLIED = "applied", gettext_lazy("imported")
        DROPPED = "dropped", gettext_lazy("discarded")

    holds = models.CharField(max_length=12, choices=Holds)
    file_name = models.CharField(max_length=200)
    body = models.BinaryField()
    sha256 = models.CharField(max_length=64, blank=True)
    file_deleted_at = models.DateTimeField(null=True, blank=True)
    status = models.CharField(max_length=10, choices=Status, default=Status.WAITING)
    # Grows with everything that is done to the file: of two windows one acts on what it shows.
    step = models.PositiveIntegerField(default=0)
    choice = models.JSONField(default=dict, blank=True, help_text="sheet, head row, place and head of each column")
    reading = models.JSONField(default=dict, blank=True, help_text="sheets, the one read, its first rows, the problem")
    grid = models.JSONField(default=list, blank=True)
    lines = models.JSONField(default=list, blank=True)
    answers = models.JSONField(default=dict, blank=True, help_text="question -> answer of the owner")
    plan = models.JSONField(default=dict, blank=True)
    uploaded_at = models.DateTimeField()
    uploaded_by = models.CharField(max_length=150)
    # What the import made and changed, so that it can be undone; then what undoing left, and why.
    made = models.JSONField(default=dict, blank=True)
    undone = models.JSONField(default=dict, blank=True)
    applied_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.file_name
