"""The kitchen's sheets in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from orders.production.shopping import Missing, SupplierList, ToBuy

_MISSING: Final = {Missing.SUPPLIER: "Supplier not named", Missing.PACK: "No pack in force"}


@dataclass(frozen=True)
class SupplierTable:
    """What to buy at one supplier, under its name or what is missing."""

    supplier: str
    rows: list[ToBuy]
    cost: Fraction


def supplier_tables(lists: Iterable[SupplierList]) -> list[SupplierTable]:
    """Head each list of the shopping list."""
    return [
        SupplierTable(_MISSING[one.supplier] if isinstance(one.supplier, Missing) else one.supplier, one.rows, one.cost)
        for one in lists
    ]
