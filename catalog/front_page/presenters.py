"""The parts of the catalog as its front page names them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.front_page.selectors import Counted

#: Parts whose pages are the owner's alone.
_OWNERS: Final = frozenset({"ingredients", "suppliers"})

#: Page of the list -> (name, what it holds, page that adds one)
_PARTS: Final = {
    "ingredients": (marked("Ingredients"), marked("What you buy, in which packs, at what price."), "ingredient-new"),
    "suppliers": (marked("Suppliers"), marked("Who you buy from."), "supplier-new"),
    "recipes": (marked("Recipes"), marked("What you make: batters, creams, sauces."), "recipe-new"),
    "products": (marked("Products"), marked("What you sell: each size and format."), "product-new"),
    "molds": (marked("Molds"), marked("Pans, rings, glasses and trays."), "mold-new"),
    "vessels": (marked("Vessels"), marked("Tubs, pans and pots in which hot food cools."), "vessel-new"),
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
        CatalogPart(gettext(name), gettext(about), counts[route].used, counts[route].aside, route, new_route)
        for route, (name, about, new_route) in _PARTS.items()
        if owner or route not in _OWNERS
    ]
