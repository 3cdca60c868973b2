"""The recipes that leave hot and of which nobody stated how they cool."""

from dataclasses import dataclass

from catalog.book.selectors import book_current
from catalog.book.unpriced import unpriced_part
from catalog.cooling.batch_reports import hot_and_open
from catalog.recipes.models import Recipe
from catalog.records.errors import CannotPrice
from costing.contract import Book


@dataclass(frozen=True, slots=True)
class OpenRecipe:
    """A recipe whose cooling cannot be judged: its primary key and its name."""

    key: int
    name: str


def recipes_open_in(product: str, book: Book) -> tuple[OpenRecipe, ...]:
    """Return the recipes in a product whose cooling cannot be judged, also those inside other recipes; one query."""
    inside = unpriced_part(book, frozenset({product})).recipes
    codes = [recipe.code for recipe in inside if hot_and_open(recipe.code, book)]
    rows = Recipe.objects.filter(code__in=codes).order_by("name", "pk").values_list("pk", "name")
    return tuple(OpenRecipe(pk, name) for pk, name in rows)


def recipes_open() -> tuple[OpenRecipe, ...] | None:
    """Return the recipes in use that a quote would be stopped for, by name; None while the catalog has an error.

    Two queries; nothing is worked out of how they cool.
    """
    try:
        book = book_current()
    except CannotPrice:
        return None
    codes = {recipe.code for recipe in book.recipes}
    rows = Recipe.objects.filter(active=True).order_by("name", "pk").values_list("pk", "name", "code")
    return tuple(OpenRecipe(pk, name) for pk, name, code in rows if code in codes and hot_and_open(code, book))
