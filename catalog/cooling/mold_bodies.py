"""The body that cools in a product's mold: its shape, how high it stands, and remarks about it."""

from collections.abc import Iterator
from math import pi
from typing import Final

from catalog.cooling.missing import NotWorkedOut
from catalog.records.reasons import Reason
from costing.chilling import Block, Body, Cylinder, Food, Mixture, Slab
from costing.contract import Book, Mold, Product

#: How far the height entered may be from that of the amounts [1]; own choice.
_MOST_OFF: Final = 0.25
#: How far over its rim a mold may be filled before that stops [1]: densities follow from compositions, and a thin coat
#: is around what has left its ring; own choice.
_OVER_RIM: Final = 0.1
#: How far over it an entered height may be [1], for sizes in inches.
_ROUNDED: Final = 0.001


def mold_of(product: Product, book: Book) -> Mold:
    """Return the mold a product is made in.

    Raises
    ------
    NotWorkedOut
        When none is entered.
    """
    if product.mold is None:
        raise NotWorkedOut("no_mold", "product", product.code, product=product.name)
    return book.mold(product.mold)


def height_of(product: Product, mold: Mold, mixture: Mixture, food: Food) -> tuple[float, tuple[Reason, ...]]:
    """Return how high the whole product stands in its mold [mm], and remarks about it.

    Where the height entered and that of the amounts differ by more than a quarter, the higher counts: it cools longer.

    Raises
    ------
    NotWorkedOut
        When the mold has no measures, or the height is missing and cannot be computed.
    """
    floor_cm2 = _floor_cm2(mold)
    if floor_cm2 is None:
        raise NotWorkedOut("no_measures", "mold", mold.name, mold=mold.name)
    full = mixture.grams / (food.rho / 1000) / floor_cm2
    tray = mold.shape == "tray"
    if product.fill_height_cm is None and tray:
        raise NotWorkedOut("no_height", "product", product.code, mold=mold.name, product=product.name)
    height = full if product.fill_height_cm is None else float(product.fill_height_cm)
    if tray:
        return height * 10, ()
    counts = max(height, full) if _differ(height, full) else height
    return counts * 10, tuple(_odd(product, mold, height, full))


def check_rim(product: Product, mold: Mold, mixture: Mixture, food: Food, share: float) -> tuple[Reason, ...]:
    """Refuse what would stand over the rim of its mold: no body is computed that cannot be; return remarks about it.

    ``share`` of the product is in it while it cools [1]: what is put on top later may stand over the rim. What is a
    little over it is remarked on.

    Raises
    ------
    NotWorkedOut
        When the height entered, or that of the amounts, is above the rim.
    """
    floor_cm2 = _floor_cm2(mold)
    if mold.height_cm is None or floor_cm2 is None:
        return ()
    rim, entered = float(mold.height_cm), share * float(product.fill_height_cm or 0)
    full = 0.0 if mold.shape == "tray" else share * mixture.grams / (food.rho / 1000) / floor_cm2
    facts = {"mold": mold.name, "product": product.name, "height": max(entered, full), "rim": rim}
    if max(entered, full) > rim * (1 + _OVER_RIM):
        raise NotWorkedOut("over_the_rim", "product", product.code, **facts)
    return (Reason("over_the_rim", facts),) if max(entered, full) > rim * (1 + _ROUNDED) else ()


def _differ(height: float, full: float) -> bool:
    return abs(full / height - 1) > _MOST_OFF


def _floor_cm2(mold: Mold) -> float | None:
    if mold.shape == "round":
        return None if mold.diameter_cm is None else pi * float(mold.diameter_cm) ** 2 / 4
    if mold.length_cm is None or mold.width_cm is None:
        return None
    return float(mold.length_cm) * float(mold.width_cm)


def mold_body(mold: Mold, height_mm: float) -> Body | None:
    """Return the body that a mold holds at this height; None when its measures are not entered."""
    return None if _floor_cm2(mold) is None else body_in(mold, height_mm)


def body_in(mold: Mold, height_mm: float) -> Body:
    """Return the body that a mold with measures holds at this height."""
    if mold.shape == "tray":
        return Slab(height_mm)
    if mold.shape == "round":
        return Cylinder(float(mold.diameter_cm or 0) * 10, height_mm)
    return Block(float(mold.length_cm or 0) * 10, float(mold.width_cm or 0) * 10, height_mm)


def _odd(product: Product, mold: Mold, height: float, full: float) -> Iterator[Reason]:
    if product.fill_height_cm is None:
        yield Reason("height_follows", {"height": full, "mold": mold.name})
    elif _differ(height, full):
        yield Reason("height_differs", {"full": full, "height": height, "mold": mold.name})
