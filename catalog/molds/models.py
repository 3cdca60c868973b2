"""Molds: tins, rings, glasses and trays the kitchen owns."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.records.fields import ExactDecimalField


class Mold(models.Model):
    """A tin, ring, glass or tray the kitchen owns."""

    class Shape(models.TextChoices):
        ROUND = "round", _("round")
        BLOCK = "block", _("rectangular")
        TRAY = "tray", _("tray, filled as a sheet")

    class Wall(models.TextChoices):
        METAL = "metal", _("metal")
        GLASS = "glass", _("glass or china")
        SILICONE = "silicone", _("silicone")
        PLASTIC = "plastic", _("plastic")
        CARD = "card", _("paper or card")

    name = models.CharField(max_length=80, unique=True)
    shape = models.CharField(max_length=5, choices=Shape, default=Shape.ROUND)
    diameter_cm = ExactDecimalField(null=True, blank=True)
    length_cm = ExactDecimalField(null=True, blank=True)
    width_cm = ExactDecimalField(null=True, blank=True)
    height_cm = ExactDecimalField(null=True, blank=True)
    owned = models.PositiveIntegerField(default=1)
    wall = models.CharField(max_length=8, choices=Wall, default=Wall.METAL, help_text=_("what it is made of"))

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
