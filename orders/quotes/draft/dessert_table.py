"""The dessert table of a draft quote, saved or not: lines, extras, and the units of each product."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from hashlib import sha256
from typing import Any

from catalog.products.models import Product
from costing.requirements.portions import ChosenProduct, portions_for_guests
from orders.quotes.models import Quote


@dataclass(frozen=True, slots=True)
class TableLine:
    """A product on the table: its share of the pieces, its units, and a price given by hand or none."""

    product_id: int
    code: str
    units: int
    unit_price_minor: int | None = None
    share: Decimal | None = None


@dataclass(frozen=True, slots=True)
class TableExtra:
    """One-off work or rental."""

    name: str
    cost_minor: int
    amount_minor: int
    tax_id: int
    tax_code: str


@dataclass(frozen=True, slots=True)
class DessertTable:
    """The table of a draft, saved or not: lines, extras, discount, rush."""

    lines: tuple[TableLine, ...] = ()
    extras: tuple[TableExtra, ...] = ()
    discount: Decimal = Decimal(0)
    rush: bool = False

    @property
    def version(self) -> str:
        """A short hash of the table, for optimistic locking when another one is saved."""
        return sha256(repr(self).encode()).hexdigest()[:16]

    def with_units(self, units: Mapping[str, int]) -> "DessertTable":
        """Return the table with units filled in where none are given; lines still without any are left out."""
        lines = (line if line.units else replace(line, units=units.get(line.code, 0)) for line in self.lines)
        return replace(self, lines=tuple(line for line in lines if line.units))

    def with_line(self, code: str, **changes: Any) -> "DessertTable":
        """Return the table with one product's units or price changed; the other lines stay as they are."""
        lines = tuple(replace(line, **changes) if line.code == code else line for line in self.lines)
        return replace(self, lines=lines)


def table_of(quote: Quote) -> DessertTable:
    """Read a quote's rows; prefetch ``lines__product`` and ``extras__tax`` for many quotes."""
    return DessertTable(
        lines=tuple(
            TableLine(line.product_id, line.product.code, line.units, line.unit_price_minor, line.share)
            for line in _rows(quote, "lines", "product")
        ),
        extras=tuple(
            TableExtra(extra.name, extra.cost_minor, extra.amount_minor, extra.tax_id, extra.tax.code)
            for extra in _rows(quote, "extras", "tax")
        ),
        discount=quote.discount,
        rush=quote.rush,
    )


def _rows(quote: Quote, name: str, related: str) -> Sequence:  # type: ignore[type-arg]  # lines or extras
    manager = getattr(quote, name)
    prefetched = name in getattr(quote, "_prefetched_objects_cache", {})
    return list(manager.all() if prefetched else manager.select_related(related))


def units_for_guests(
    table: DessertTable, products: Mapping[str, Product], guests: int | None, pieces_per_guest: Decimal | None
) -> dict[str, int]:
    """Return the units of each product with a share that give the pieces needed; empty while guests are unknown."""
    choices = [
        ChosenProduct(line.code, Fraction(line.share), products[line.code].sale_multiple, products[line.code].servings)
        for line in table.lines
        if line.share
    ]
    if not guests or not pieces_per_guest or not choices:
        return {}
    found = portions_for_guests(guests, Fraction(pieces_per_guest), choices)
    return {portions.product: portions.units for portions in found.products}
