"""A product's photograph: shown, replaced, removed, put back; and the choice of its drawing."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from catalog.pictures.services import NewPicture, picture_put_back, picture_removed, picture_shown, use_version
from catalog.products.models import Product, ProductPicture
from catalog.records.versions import existing_unchanged, version_mark


def picture_of(product: Product) -> ProductPicture:
    """Return the product's row of its picture, or one that is not saved yet."""
    found = ProductPicture.objects.select_related("picture", "former").filter(product=product).first()
    return found or ProductPicture(product=product)


def picture_version(product: Product) -> str:
    """Return the version of a product's picture as stored."""
    use = picture_of(product)
    return version_mark([*use_version(use), use.drawing])


@transaction.atomic(durable=True)
def product_picture_save(
    *, product_id: int, new: NewPicture, drawing: str, version: str, by: str, at: datetime
) -> Product:
    """Show another picture or describe it in other words, and choose the drawing.

    Raises
    ------
    Overtaken
        When its version is no longer ``version``.
    ChangedMeanwhile
        When the product was deleted.
    """

    def change(use: ProductPicture) -> None:
        picture_shown(use, new, by=by, at=at)
        use.drawing = drawing

    return _changed(product_id, version, change)


@transaction.atomic(durable=True)
def product_picture_remove(*, product_id: int, version: str) -> Product:
    """Remove the picture; it can be put back. Refusals as above."""
    return _changed(product_id, version, picture_removed)


@transaction.atomic(durable=True)
def product_picture_put_back(*, product_id: int, version: str) -> Product:
    """Show the picture from before again. Refusals as above."""
    return _changed(product_id, version, picture_put_back)


def _changed(product_id: int, version: str, change: Callable[[ProductPicture], None]) -> Product:
    product = existing_unchanged(Product, product_id, version, picture_version)
    use = picture_of(product)
    change(use)
    use.save()
    return product
