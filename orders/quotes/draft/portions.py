"""Guests and pieces per guest, spread over the products of a table by their shares."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from catalog.products.models import Product
from costing.requirements.portions import ChosenProduct, portions_for_guests
from orders.quotes.draft.briefs import DessertTable


def spread_units(
    table: DessertTable, products: Mapping[str, Product], guests: int | None, pieces_per_guest: Decimal | None
) -> dict[str, int]:
    """Return how many units of each product with a share make up the pieces; empty while guests are not known."""
    choices = [
        ChosenProduct(line.code, Fraction(line.share), products[line.code].sale_multiple, products[line.code].servings)
        for line in table.lines
        if line.share
    ]
    if not guests or not pieces_per_guest or not choices:
        return {}
    found = portions_for_guests(guests, Fraction(pieces_per_guest), choices)
    return {portions.product: portions.units for portions in found.products}
