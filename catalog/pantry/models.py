"""What the kitchen buys: ingredients with parts, packs and suppliers."""

from decimal import Decimal
from typing import Final

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.records.fields import ExactDecimalField
from costing.measures.measure import Measure, parse_measure

#: Key of ``Ingredient.named_only`` under which a label's list of ingredients is.
LISTED: Final = "listed"


class Supplier(models.Model):
    """Somebody the kitchen buys from."""

    name = models.CharField(max_length=500, unique=True)
    note = models.TextField(blank=True)
    # Which column of its price lists holds what: place and head, as last chosen.
    price_columns = models.JSONField(default=dict, blank=True)
    # What its price lists call an ingredient (lower case) -> the ingredient's key, as corrected in an imported list.
    item_names = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Ingredient(models.Model):
    """Something bought: by mass, or only counted (boxes)."""

    class Base(models.TextChoices):
        GRAM = "g", _("weight")
        EACH = "each", _("count only (boxes, boards, ribbons)")

    class Charge(models.TextChoices):
        USED = "used", _("the amount used")
        PACKS = "packs", _("whole packs bought for the order")

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=500)
    base = models.CharField(max_length=4, choices=Base, default=Base.GRAM)
    density = ExactDecimalField(null=True, blank=True, help_text="g/ml")
    grams_each = ExactDecimalField(null=True, blank=True)
    # Ready to use ÷ as purchased.
    yield_share = ExactDecimalField(default=Decimal(1))
    charge = models.CharField(max_length=5, choices=Charge, default=Charge.USED)
    allergens = models.JSONField(default=list, blank=True, help_text="codes of what it contains")
    # Code -> may, free or contains. What is neither here nor in ``allergens`` was not checked yet.
    allergen_answers = models.JSONField(default=dict, blank=True)
    allergen_names = models.JSONField(default=dict, blank=True, help_text="code -> species or kind, for labels")
    # Allergen -> the name that has it in it, and of which somebody said that it only has the name. ``listed`` is the
    # label's list of ingredients, where the name says nothing; ``listed-…`` the same of an allergen in that list.
    # Beside them how it is known what it is free of, who says so, and the name before a change of it: ``free_by.py``.
    named_only = models.JSONField(default=dict, blank=True)
    touches_food = models.BooleanField(default=True, help_text="false: packaging that never touches the food")
    # Where density, piece weight and yield come from, as shown beside them.
    source = models.CharField(max_length=200, blank=True)
    ndb = models.CharField(max_length=6, blank=True, help_text="row of the bundled USDA table it was matched with")
    # Stated percentages by mass of water, protein, fat, carb, fibre and ash; empty: those of the matched row.
    composition = models.JSONField(default=dict, blank=True)
    note = models.TextField(blank=True)
    active = models.BooleanField(default=True)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class Part(models.Model):
    """A named share of an ingredient: juice, zest; yolk, white."""

    ingredient = models.ForeignKey(Ingredient, on_delete=models.CASCADE, related_name="parts")
    code = models.CharField(max_length=200)
    # Of the mass as purchased.
    share = ExactDecimalField()
    density = ExactDecimalField(null=True, blank=True)
    grams_each = ExactDecimalField(null=True, blank=True)
    joint = models.CharField(max_length=200, blank=True, help_text="parts of one piece share a word here")
    ndb = models.CharField(max_length=6, blank=True, help_text="its own row of the bundled USDA table")
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["ingredient", "code"], name="one_part_of_a_name")]

    def __str__(self) -> str:
        return f"{self.ingredient} {self.code}"


class Pack(models.Model):
    """A purchase pack at a price from a date on; old ones stay as history."""

    ingredient = models.ForeignKey(Ingredient, on_delete=models.CASCADE, related_name="packs")
    size = models.CharField(max_length=60, help_text="a measure, such as 25 lb")
    price = ExactDecimalField()
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True, help_text="last day in force")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="packs")
    preferred = models.BooleanField(default=False)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"{self.ingredient}, {self.size}"

    @property
    def measure(self) -> Measure:
        """What packs are compared by: 1/2 gallon is the same pack as ½ gallon or 0.5 gallon."""
        return parse_measure(self.size)
