"""Vessels: tubs, hotel pans, trays, pots and bowls in which a batch of a recipe cools."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.molds.models import Mold
from catalog.records.fields import ExactDecimalField
from costing.chilling import HOTEL_PAN, SHEET_TRAY


class Vessel(models.Model):
    """A vessel the kitchen owns: round where it has a diameter, else with a length and a width."""

    class Kind(models.TextChoices):
        TUB = "tub", _("tub")
        HOTEL_PAN = HOTEL_PAN, _("hotel pan")
        SHEET_TRAY = SHEET_TRAY, _("sheet tray")
        POT = "pot", _("pot")
        BUCKET = "bucket", _("bucket")
        BOWL = "bowl", _("bowl")

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.TUB)
    diameter_cm = ExactDecimalField(null=True, blank=True)
    length_cm = ExactDecimalField(null=True, blank=True)
    width_cm = ExactDecimalField(null=True, blank=True)
    height_cm = ExactDecimalField(null=True, blank=True)
    owned = models.PositiveIntegerField(null=True, blank=True, help_text=_("empty: not entered, and not known"))
    wall = models.CharField(max_length=8, choices=Mold.Wall, default=Mold.Wall.METAL, help_text=_("what it is made of"))

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
