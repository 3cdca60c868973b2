"""Molds: tins, rings, glasses and trays the kitchen owns."""

from django.db import models

from catalog.records.fields import ExactDecimalField


class Mold(models.Model):
    """A tin, ring, glass or tray the kitchen owns."""

    class Shape(models.TextChoices):
        ROUND = "round", "round"
        BLOCK = "block", "rectangular"
        TRAY = "tray", "tray, filled as a sheet"

    class Wall(models.TextChoices):
        METAL = "metal", "metal"
        GLASS = "glass", "glass or china"
        SILICONE = "silicone", "silicone"
        PLASTIC = "plastic", "plastic"
        CARD = "card", "paper or card"

    name = models.CharField(max_length=80, unique=True)
    shape = models.CharField(max_length=5, choices=Shape, default=Shape.ROUND)
    diameter_cm = ExactDecimalField(null=True, blank=True)
    length_cm = ExactDecimalField(null=True, blank=True)
    width_cm = ExactDecimalField(null=True, blank=True)
    height_cm = ExactDecimalField(null=True, blank=True)
    owned = models.PositiveIntegerField(default=1)
    wall = models.CharField(max_length=8, choices=Wall, default=Wall.METAL, help_text="what it is made of")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
