"""Counts of the records of the catalog."""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient, Supplier
from catalog.products.claims import unproven_claims
from catalog.products.declarations import declarations_of
from catalog.products.kitchen_claims import ingredients_declared
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.records.errors import CannotPrice
from catalog.vessels.models import Vessel


@dataclass(frozen=True, slots=True)
class Counted:
    """How many records are active, and how many are not."""

    used: int
    aside: int = 0


def catalog_counts() -> dict[str, Counted]:
    """Count the parts of the catalog, by the name of the page that lists each; six queries."""
    return {
        "ingredients": _counted(Ingredient.objects.values_list("active", flat=True)),
        "suppliers": Counted(Supplier.objects.count()),
        "recipes": _counted(Recipe.objects.values_list("active", flat=True)),
        "products": _counted(Product.objects.values_list("active", flat=True)),
        "molds": Counted(Mold.objects.count()),
        "vessels": Counted(Vessel.objects.count()),
    }


def ingredients_unchecked(kitchen: Kitchen) -> list[Ingredient]:
    """Return the ingredients in use that nobody has checked for every allergen of the kitchen's list, by name."""
    return [row for row, found in ingredients_declared(kitchen) if found.unchecked_allergens]


def products_claiming() -> list[Product]:
    """Return the products in use whose own words claim what their ingredients deny; none while there is no Book."""
    try:
        book = book_current()
    except CannotPrice:
        return []
    declarations = declarations_of(book)
    codes = [
        one.code for one in declarations.active if any(claim.untrue for claim in unproven_claims(one, declarations))
    ]
    return list(Product.objects.filter(code__in=codes).order_by("name", "pk")) if codes else []


def _counted(rows: Iterable[bool]) -> Counted:
    states = list(rows)
    return Counted(sum(states), len(states) - sum(states))
