"""Products: formats the kitchen sells, with fills, packaging and steps."""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.pictures.models import PictureUse
from catalog.recipes.models import Step
from catalog.records.fields import ExactDecimalField


class Product(models.Model):
    """A format the kitchen sells: a whole cake in a size, a cup, a square."""

    class StandsOn(models.TextChoices):
        OPEN = "open", _("a rack or a metal shelf, in its mold or its own tray, with cold air under it")
        BOARD = "board", _("wood or card, or side by side on another tray, with no cold from below")

    class Carried(models.TextChoices):
        BARE = "bare", _("uncovered")
        CARTON = "carton", _("in a carton")
        INSULATED = "insulated", _("in an insulated box")

    class CoolingRule(models.TextChoices):
        BY_STEP = "", _("as its steps say")
        COOKED = "cooked", _("as cooked food")
        AMBIENT = "ambient", _("as food made from ingredients at room temperature")

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=500)
    description = models.TextField(blank=True, help_text=_("a sentence the customer reads"))
    category = models.CharField(max_length=200)
    servings = models.PositiveIntegerField(default=1)
    sale_multiple = models.PositiveIntegerField(default=1)
    spare = ExactDecimalField(default=Decimal(0))
    load = models.PositiveIntegerField(null=True, blank=True, help_text=_("units made at once"))
    mold = models.ForeignKey("catalog.Mold", on_delete=models.PROTECT, null=True, blank=True, related_name="products")
    fill_height_cm = ExactDecimalField(null=True, blank=True)
    keeps_hours = ExactDecimalField(null=True, blank=True, help_text=_("keeping time in the cold once ready, hours"))
    holding = models.TextField(blank=True, help_text=_("how to hold and serve it"))
    stands_on = models.CharField(max_length=5, choices=StandsOn, default=StandsOn.OPEN, help_text=_("while it cools"))
    covered = models.BooleanField(default=False, help_text=_("while it cools"))
    carried = models.CharField(max_length=9, choices=Carried, default=Carried.CARTON, help_text=_("out of the cold"))
    cooling_rule = models.CharField(max_length=7, choices=CoolingRule, default=CoolingRule.BY_STEP, blank=True)
    load_places = models.JSONField(
        default=dict, blank=True, help_text="kind of station: places one load takes there; 1 where it is not listed"
    )
    mold_leaves = models.BooleanField(default=False, help_text="it goes to the customer with the dessert")
    mold_back_days = models.PositiveIntegerField(
        null=True, blank=True, help_text="days after the event until it is back or replaced; empty: never"
    )
    # Pieces for each guest where nothing is chosen yet; empty: it is not usual.
    usual_pieces = ExactDecimalField(null=True, blank=True)
    list_price = ExactDecimalField(null=True, blank=True)
    tax = models.ForeignKey("catalog.TaxCategory", on_delete=models.PROTECT, related_name="products")
    active = models.BooleanField(default=True)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class ProductPicture(PictureUse):
    """The photograph of a product, and which line drawing stands in its place until there is one."""

    class Drawing(models.TextChoices):
        ROUND = "round", _("Round cake")
        TART = "tart", _("Tart or pie")
        SLAB = "slab", _("Sheet cake, loaf or squares")
        GLASS = "glass", _("Glass or cup")
        POT = "pot", _("Custard in its pot")
        BITE = "bite", _("Petit four or truffle")
        COOKIE = "cookie", _("Cookie or meringue")
        OTHER = "other", _("Something else")

    product = models.OneToOneField(Product, on_delete=models.CASCADE, primary_key=True, related_name="photograph")
    drawing = models.CharField(
        max_length=6, choices=Drawing, blank=True, help_text="empty: by its name, category and mold"
    )

    def __str__(self) -> str:
        return f"{self.product_id}: {self.alt}"


class Fill(models.Model):
    """How much of a recipe goes into one unit."""

    product = models.ForeignKey(Product, on_delete=models.CASCADE, related_name="fills")
    recipe = models.ForeignKey("catalog.Recipe", on_delete=models.PROTECT, related_name="fills")
    amount = models.CharField(max_length=60, help_text=_("a mass per unit"))
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"{self.amount} {self.recipe}"


class Packaging(models.Model):
    """What is packed with one unit."""

    product = models.ForeignKey(Product, on_delete=models.CASCADE, related_name="packaging")
    ingredient = models.ForeignKey("catalog.Ingredient", on_delete=models.PROTECT, related_name="packaging")
    amount = models.CharField(max_length=60)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name_plural = "packaging"

    def __str__(self) -> str:
        return f"{self.amount} {self.ingredient}"


class ProductStep(Step):
    """A step of a product: per load and per unit."""

    class TakesAs(models.TextChoices):
        MIXED = "mixed", _("mixed in")
        LAYER = "layer", _("a layer of its own, on top")

    product = models.ForeignKey(Product, on_delete=models.CASCADE, related_name="steps")
    takes = models.JSONField(default=list, blank=True, help_text=_("codes of the recipes that go in at this step"))
    takes_c = ExactDecimalField(null=True, blank=True, help_text=_("how warm they are when they go in, °C"))
    takes_as = models.CharField(max_length=5, choices=TakesAs, default=TakesAs.MIXED)
    frees_mold = models.BooleanField(default=False, help_text="after it the mold is free again; one step of a product")
