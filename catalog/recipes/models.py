"""Recipes with their lines and steps."""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.records.fields import ExactDecimalField


class Step(models.Model):
    """One step of work or waiting: its labor, its station, and how long it takes and may be held.

    In a recipe ``hands_fixed`` is per batch and ``hands_each`` per kilogram; in a product per load and per unit.
    """

    class Kind(models.TextChoices):
        PREPARE = "prepare", _("prepare")
        MIX = "mix", _("mix")
        COOK = "cook", _("cook")
        BAKE = "bake", _("bake")
        REST = "rest", _("rest or cool")
        CHILL = "chill", _("chill")
        FREEZE = "freeze", _("freeze")
        FILL = "fill", _("fill or assemble")
        FINISH = "finish", _("finish")
        PACK = "pack", _("pack")
        WORK = "work", _("other work")

    class Attended(models.TextChoices):
        BY_KIND = "", _("as usual for its kind")
        THROUGHOUT = "throughout", _("the whole time")
        ENDS = "ends", _("at its beginning and end")

    position = models.PositiveIntegerField(default=0)
    name = models.CharField(max_length=120, blank=True)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.WORK)
    role = models.ForeignKey("catalog.Role", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    hands_fixed = ExactDecimalField(default=Decimal(0), help_text=_("minutes"))
    hands_each = ExactDecimalField(default=Decimal(0), help_text=_("minutes"))
    station = models.ForeignKey("catalog.Station", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    minutes = ExactDecimalField(
        null=True, blank=True, help_text=_("elapsed minutes when it is not just the hands' time")
    )
    temperature_c = ExactDecimalField(null=True, blank=True)
    wait_min = ExactDecimalField(null=True, blank=True, help_text=_("least minutes before the next step"))
    hold_max = ExactDecimalField(
        null=True, blank=True, help_text=_("longest minutes before the next step, or until hand-over")
    )
    text = models.TextField(blank=True)
    # If set, cooling starts here and runs through the steps that follow.
    leaves_c = ExactDecimalField(null=True, blank=True, help_text=_("its middle when this step ends, °C"))

    attended = models.CharField(
        max_length=10, choices=Attended, blank=True, help_text="how long somebody is needed; empty: by its kind"
    )

    class Meta:
        abstract = True
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name or self.get_kind_display()


class Recipe(models.Model):
    """A component: lines over ingredients and other recipes."""

    class LossOf(models.TextChoices):
        WATER = "water", _("water: it dries in the oven or boils away")
        ALL = "all", _("all of it alike: trimmings, what sticks to the bowl")

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=500)
    loss = ExactDecimalField(default=Decimal(0), help_text=_("share lost in making"))
    loss_of = models.CharField(max_length=5, choices=LossOf, default=LossOf.WATER)
    air = ExactDecimalField(default=Decimal(0), help_text=_("share of the volume that is air, whipped in"))
    batch_limit = models.CharField(max_length=60, blank=True, help_text=_("a mass: what the bowl, pan or pot takes"))
    batch_min = models.CharField(max_length=60, blank=True, help_text=_("a mass: the least worth making"))
    note = models.TextField(blank=True)
    active = models.BooleanField(default=True)
    shelf_stable = models.BooleanField(default=False, help_text=_("safe at room temperature, by its maker's word"))
    # Where it holds milk, egg, cream, gelatin or custard, the tick counts only with this.
    shelf_stable_source = models.CharField(max_length=300, blank=True, help_text="who says so, and by what")
    # Asked where it may be hot and no step states it.
    never_hot = models.BooleanField(default=False, help_text="never hot while it is made, by its maker's word")
    never_hot_reason = models.CharField(max_length=300, blank=True, help_text="why, where it is cooked as a rule")
    kg_per_place = ExactDecimalField(
        null=True,
        blank=True,
        help_text=_("kilograms that wait on one place in the cold; empty: a batch takes one place"),
    )
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class RecipeLine(models.Model):
    """An amount of an ingredient (or a part of it) or of another recipe."""

    recipe = models.ForeignKey(Recipe, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField(default=0)
    ingredient = models.ForeignKey(
        "catalog.Ingredient", on_delete=models.PROTECT, null=True, blank=True, related_name="recipe_lines"
    )
    part = models.ForeignKey(
        "catalog.Part", on_delete=models.PROTECT, null=True, blank=True, related_name="recipe_lines"
    )
    component = models.ForeignKey(Recipe, on_delete=models.PROTECT, null=True, blank=True, related_name="used_in")
    amount = models.CharField(max_length=60)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ingredient__isnull=False, component__isnull=True)
                | models.Q(ingredient__isnull=True, component__isnull=False, part__isnull=True),
                name="ingredient_or_component",
            )
        ]

    def __str__(self) -> str:
        return f"{self.amount} {self.ingredient or self.component}"


class RecipeStep(Step):
    """A step of a recipe."""

    recipe = models.ForeignKey(Recipe, on_delete=models.CASCADE, related_name="steps")
    # What a batch that leaves hot stands in, and whether in an ice bath first.
    vessel = models.ForeignKey(
        "catalog.Vessel", on_delete=models.PROTECT, null=True, blank=True, related_name="recipe_steps"
    )
    vessels = models.PositiveIntegerField(null=True, blank=True, help_text=_("how many; as many as needed when empty"))
    depth_cm = ExactDecimalField(null=True, blank=True, help_text=_("how deep it stands at most"))
    covered = models.BooleanField(default=False, help_text=_("whether its lid is on while it cools"))
    ice_bath = models.BooleanField(default=False)
    stir_min = ExactDecimalField(null=True, blank=True, help_text=_("minutes between two stirrings in the ice bath"))
    bath_to_c = ExactDecimalField(null=True, blank=True, help_text=_("its middle at the end of the ice bath, °C"))
    bath_min = ExactDecimalField(null=True, blank=True, help_text=_("minutes in the ice bath"))
