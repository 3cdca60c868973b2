"""The choices of the product editor: recipes, packaging, molds and taxes, read once per page."""

from collections.abc import Mapping
from dataclasses import dataclass

from catalog.kitchen.selectors import kitchen
from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from catalog.recipes.choices import Choices, StepChoices, step_choices
from catalog.recipes.cost_basis import CostBasis
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory
from costing.contract import Ingredient as Good
from costing.measures.units import CupKind


@dataclass(frozen=True, slots=True)
class Choice:
    """A recipe or an ingredient to choose: its primary key as text, its name, whether it is active, its code."""

    value: str
    name: str
    active: bool
    code: str


@dataclass(frozen=True, slots=True)
class ProductChoices:
    """All choices of a product; ``goods`` gives an ingredient by its primary key as text."""

    recipes: tuple[Choice, ...]
    packaging: tuple[Choice, ...]
    goods: Mapping[str, Good]
    molds: Choices
    taxes: Choices
    categories: list[str]
    steps: StepChoices
    cup: CupKind
    currency: str


def product_choices(*, basis: CostBasis) -> ProductChoices:
    """Read the choices of a product; ingredients that are only counted come first among the packaging."""
    goods = list(Ingredient.objects.order_by("-active", "name"))
    goods.sort(key=lambda row: row.base != Ingredient.Base.EACH)
    categories = Product.objects.order_by("category").values_list("category", flat=True).distinct()
    return ProductChoices(
        recipes=tuple(map(_choice, Recipe.objects.order_by("-active", "name"))),
        packaging=tuple(map(_choice, goods)),
        goods={str(row.pk): basis.goods[row.code] for row in goods if row.code in basis.goods},
        molds=[(str(mold.pk), mold.name) for mold in Mold.objects.all()],
        taxes=[(str(tax.pk), str(tax)) for tax in TaxCategory.objects.all()],
        categories=list(categories),
        steps=step_choices(),
        cup=basis.cup,
        currency=kitchen().currency,
    )


def _choice(row: Recipe | Ingredient) -> Choice:
    return Choice(str(row.pk), row.name, row.active, row.code)
