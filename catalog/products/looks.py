"""How a product looks: its photograph, or the line drawing that stands in its place, by what the product states."""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.molds.models import Mold
from catalog.pictures.refs import PictureRef
from catalog.pictures.selectors import ref_of
from catalog.products.drawing_words import KNOWN
from catalog.products.models import Product, ProductPicture

Kind = ProductPicture.Drawing


@dataclass(frozen=True, slots=True)
class ProductLook:
    """A product's photograph, if it has one, and the kind of its drawing."""

    picture: PictureRef | None
    drawing: str


def drawing_kind(name: str, category: str = "", mold: Mold | None = None) -> str:
    """Return the kind of dessert that a product's name speaks of, else its category, else its mold."""
    for text in (name, category):
        words = set("".join(each if each.isalpha() else " " for each in text.lower()).split())
        for kind, known in KNOWN:
            if words & known:
                return kind.value
    return _of_mold(mold)


def _of_mold(mold: Mold | None) -> str:
    if mold is None:
        return Kind.OTHER.value
    if mold.wall == Mold.Wall.GLASS:
        return Kind.GLASS.value
    return Kind.ROUND.value if mold.shape == Mold.Shape.ROUND else Kind.SLAB.value


def look_of(product: Product) -> ProductLook:
    """Return how one product looks: one query."""
    return looks_of([product])[product.pk]


def looks_of(products: Iterable[Product]) -> dict[int, ProductLook]:
    """Return how products look by their keys: one query for all of them; their molds should be read along."""
    rows = list(products)
    shown = ProductPicture.objects.filter(product__in=rows).select_related("picture").in_bulk() if rows else {}
    return {row.pk: _look(row, shown.get(row.pk)) for row in rows}


def _look(product: Product, shown: ProductPicture | None) -> ProductLook:
    kind = shown.drawing if shown else ""
    return ProductLook(
        ref_of(shown.picture, shown.alt) if shown else None,
        kind or drawing_kind(product.name, product.category, product.mold),
    )
