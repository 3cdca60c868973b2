"""Guests and pieces per guest, spread over the products of a table by their shares."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from catalog.models import Product
from orders.briefs import Table


def spread_units(
    table: Table, products: Mapping[str, Product], guests: int | None, pieces_per_guest: Decimal | None
) -> dict[str, int]:
    """Return how many units of each product with a share make up the pieces; empty while guests are not known."""
    if not guests or not pieces_per_guest:
        return {}
    pieces = guests * Fraction(pieces_per_guest)
    shared = [line for line in table.lines if line.share]
    whole = sum((Fraction(line.share or 0) for line in shared), Fraction(0))
    counts = {}
    for line in shared:
        product = products[line.code]
        step = product.servings * product.sale_multiple
        need = pieces * Fraction(line.share or 0) / whole
        counts[line.code] = int(-(-need // step)) * product.sale_multiple
    return counts
