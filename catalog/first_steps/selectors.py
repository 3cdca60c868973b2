"""Which of the first steps are done: one query for each, and none once a quote was sent."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from catalog.first_steps.models import SkippedStep
from catalog.kitchen.models import Kitchen, OpenHours
from catalog.pantry.models import Ingredient, Pack
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory

KITCHEN: Final = "kitchen"
FIGURES: Final = "figures"
MONTHLY: Final = "monthly"
HOURS: Final = "hours"
DELIVERY: Final = "delivery"
STATIONS: Final = "stations"
INGREDIENTS: Final = "ingredients"
PRICES: Final = "prices"
RECIPE: Final = "recipe"
COOLING: Final = "cooling"
PRODUCT: Final = "product"
QUOTE: Final = "quote"
#: What a quote can do without: each may be skipped, and something safe counts instead.
OPTIONAL: Final = frozenset({MONTHLY, HOURS, DELIVERY, STATIONS, INGREDIENTS, PRICES, COOLING})


@dataclass(frozen=True, slots=True)
class FirstStep:
    """A step towards the first quote; a step that was done is not skipped.

    ``recipes`` are the recipes that it is still to be done for, each with its primary key and name.
    """

    code: str
    done: bool
    skipped: bool = False
    recipes: tuple[tuple[int, str], ...] = ()

    @property
    def optional(self) -> bool:
        """Whether it may be skipped."""
        return self.code in OPTIONAL


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

    @property
    def optional_done(self) -> dict[str, bool]:
        """Which of the figures that can be left empty are there, by step."""
        return {
            MONTHLY: self.monthly,
            HOURS: self.hours,
            DELIVERY: self.delivery,
            STATIONS: self.oven or self.refrigerator,
        }


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


def first_steps(hot: Sequence[tuple[int, str]] | None = None) -> list[FirstStep]:
    """Return the steps in order; the quote is last and never done: once one is sent, nobody asks any more.

    Parameters
    ----------
    hot : sequence of (int, str), optional
        Primary key and name of the recipes that leave hot and say nothing of how they cool; None while that is open.
    """
    there = figures()
    done = {
        KITCHEN: Kitchen.objects.exists(),
        FIGURES: there.complete,
        **there.optional_done,
        INGREDIENTS: Ingredient.objects.exists(),
        PRICES: Pack.objects.exists(),
        RECIPE: (recipes := Recipe.objects.exists()),
        COOLING: recipes and hot is not None and not hot,
        PRODUCT: Product.objects.exists(),
        QUOTE: False,
    }
    skipped = set(SkippedStep.objects.values_list("code", flat=True)) & OPTIONAL
    return [
        FirstStep(code, is_done, code in skipped and not is_done, tuple(hot or ()) if code == COOLING else ())
        for code, is_done in done.items()
    ]
