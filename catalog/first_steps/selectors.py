"""Which of the first steps are done: one query for each, and none once a quote was sent."""

from dataclasses import dataclass
from typing import Final

from catalog.kitchen.models import Kitchen, OpenHours
from catalog.pantry.models import Ingredient, Pack
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory

KITCHEN: Final = "kitchen"
FIGURES: Final = "figures"
INGREDIENTS: Final = "ingredients"
PRICES: Final = "prices"
RECIPE: Final = "recipe"
PRODUCT: Final = "product"
QUOTE: Final = "quote"


@dataclass(frozen=True, slots=True)
class FirstStep:
    """A step towards the first quote."""

    code: str
    done: bool


@dataclass(frozen=True, slots=True)
class Figures:
    """Which starter figures are there."""

    tax: bool
    role: bool
    rule: bool
    hours: bool
    monthly: bool
    delivery: bool
    oven: bool
    refrigerator: bool

    @property
    def complete(self) -> bool:
        """Whether a product can be saved and priced."""
        return self.tax and self.role and self.rule


def figures() -> Figures:
    """Return which starter figures the kitchen has."""
    kinds = set(Station.objects.values_list("kind", flat=True))
    return Figures(
        tax=TaxCategory.objects.exists(),
        role=Role.objects.exists(),
        rule=PriceRule.objects.exists(),
        hours=OpenHours.objects.exists(),
        monthly=MonthlyCost.objects.exists(),
        delivery=Kitchen.objects.filter(delivery_role__isnull=False).exists(),
        oven=Station.Kind.OVEN in kinds,
        refrigerator=Station.Kind.REFRIGERATOR in kinds,
    )


def first_steps() -> list[FirstStep]:
    """Return the steps in order; the quote is last and never done: once one is sent, nobody asks any more."""
    return [
        FirstStep(KITCHEN, Kitchen.objects.exists()),
        FirstStep(FIGURES, figures().complete),
        FirstStep(INGREDIENTS, Ingredient.objects.exists()),
        FirstStep(PRICES, Pack.objects.exists()),
        FirstStep(RECIPE, Recipe.objects.exists()),
        FirstStep(PRODUCT, Product.objects.exists()),
        FirstStep(QUOTE, done=False),
    ]
