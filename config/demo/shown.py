"""The invented kitchen's pictures, put where an owner would put them, by the way of her own uploads."""

from collections.abc import Callable
from datetime import datetime
from typing import Final

from catalog.kitchen.logo_services import logo_save
from catalog.pictures.reader_process import picture_read
from catalog.pictures.services import NewPicture
from catalog.products.models import Product
from catalog.products.picture_services import product_picture_save
from config.demo import pictures

#: codes, what is painted, what it shows
_PHOTOGRAPHS: Final[tuple[tuple[tuple[str, ...], Callable[[], bytes], str], ...]] = (
    (
        ("almond-raspberry-6", "almond-raspberry-8", "almond-raspberry-10"),
        pictures.almond_cake,
        "Layered almond cake with cream, raspberries around its edge and flaked almonds in the middle",
    ),
    (
        ("chocolate-hazelnut-8", "chocolate-hazelnut-10"),
        pictures.hazelnut_cake,
        "Chocolate cake with a dark glaze running down its side and a crown of hazelnuts",
    ),
    (
        ("lemon-tartlet",),
        pictures.lemon_tartlets,
        "Three lemon tartlets with peaks of browned meringue on a white plate",
    ),
)


def pictures_show(*, by: str, at: datetime) -> None:
    """Give the kitchen its logo and some products their photographs; the others have their drawings."""
    emblem = NewPicture(picture_read("logo", pictures.sprig()), "", "A sprig of tansy in flower")
    logo_save(new=emblem, has_name=False, version="", by=by, at=at)
    for codes, paint, words in _PHOTOGRAPHS:
        made = picture_read("photo", paint())
        for product in Product.objects.filter(code__in=codes):
            new = NewPicture(made, "", words)
            product_picture_save(product_id=product.pk, new=new, drawing="", version="", by=by, at=at)
