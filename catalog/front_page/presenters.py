"""The parts of the catalog as its front page names them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from catalog.front_page.selectors import Counted

#: Parts whose pages are the owner's alone.
_OWNERS: Final = frozenset({"ingredients", "suppliers"})

#: Page of the list -> (name, what it holds, page that adds one)
_PARTS: Final = {
    "ingredients": ("Ingredients", "What you buy, in which packs, at what price.", "ingredient-new"),
    "suppliers": ("Suppliers", "Who you buy from.", "supplier-new"),
    "recipes": ("Recipes", "What you make: batters, creams, sauces.", "recipe-new"),
    "products": ("Products", "What you sell: each size and format.", "product-new"),
    "molds": ("Moulds", "Tins, rings, glasses and trays.", "mold-new"),
    "vessels": ("Vessels", "Tubs, pans and pots in which hot things cool.", "vessel-new"),
}


@dataclass(frozen=True, slots=True)
class CatalogPart:
    """One part of the catalog: its name, its counts, and the pages that list and add records."""

    name: str
    about: str
    count: int
    aside: int
    route: str
    new_route: str


def catalog_parts(counts: Mapping[str, Counted], *, owner: bool) -> list[CatalogPart]:
    """Name the parts of the catalog the reader may open, with their counts."""
    return [
        CatalogPart(name, about, counts[route].used, counts[route].aside, route, new_route)
        for route, (name, about, new_route) in _PARTS.items()
        if owner or route not in _OWNERS
    ]
