"""What recipes and products can be made of, by whom, where and with: the choices of their editors, read once a page."""

from collections.abc import Mapping
from dataclasses import dataclass

from catalog.models import Ingredient, Mould, Product, Recipe, Role, Station, TaxCategory
from catalog.selectors.kitchen import kitchen
from catalog.selectors.recipes_pantry import Pantry
from costing.book import Ingredient as Good
from costing.currencies import MINOR_DIGITS
from costing.measures import CupKind

#: (value, label)
Choices = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class StepChoices:
    """Who can do a step, where, and the degrees it is written in."""

    roles: Choices
    stations: Choices
    degrees: str


def step_choices() -> StepChoices:
    """Read who can do a step and where."""
    return StepChoices(
        roles=[(str(role.pk), str(role)) for role in Role.objects.all()],
        stations=[(str(station.pk), str(station)) for station in Station.objects.all()],
        degrees=kitchen().degrees,
    )


@dataclass(frozen=True, slots=True)
class ProductChoices:
    """All choices of a product; ``goods`` gives an ingredient by its primary key as text."""

    recipes: Choices
    packaging: Choices
    goods: Mapping[str, Good]
    moulds: Choices
    taxes: Choices
    categories: list[str]
    steps: StepChoices
    cup: CupKind
    minor_digits: int


def product_choices(*, pantry: Pantry) -> ProductChoices:
    """Read the choices of a product; what is only counted comes first among its packaging."""
    goods = list(Ingredient.objects.order_by("-active", "name"))
    goods.sort(key=lambda row: row.base != Ingredient.Base.EACH)
    categories = Product.objects.order_by("category").values_list("category", flat=True).distinct()
    return ProductChoices(
        recipes=[(str(row.pk), _named(row)) for row in Recipe.objects.order_by("-active", "name")],
        packaging=[(str(row.pk), _named(row)) for row in goods],
        goods={str(row.pk): pantry.goods[row.code] for row in goods if row.code in pantry.goods},
        moulds=[(str(mould.pk), mould.name) for mould in Mould.objects.all()],
        taxes=[(str(tax.pk), str(tax)) for tax in TaxCategory.objects.all()],
        categories=list(categories),
        steps=step_choices(),
        cup=pantry.cup,
        minor_digits=MINOR_DIGITS.get(kitchen().currency, 2),
    )


def _named(row: Recipe | Ingredient) -> str:
    return row.name if row.active else f"{row.name} (set aside)"
