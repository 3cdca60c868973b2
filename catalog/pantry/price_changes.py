"""The last change of a price that somebody made, with the packs before it, so that its effect can be shown."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from catalog.pantry.models import Ingredient, Pack
from costing.contract.pantry import Pack as BookPack
from costing.measures.measure import parse_measure

#: What a session stores it under.
KEY: Final = "price_change"


@dataclass(frozen=True, slots=True)
class PriceChange:
    """A price of a pack before and after; None where there was none, or is none now.

    ``ingredient`` is a code; ``packs`` are those it had before, as a Book has them; ``starts`` is the first day of the
    new price, or of the one that was removed.
    """

    ingredient: str
    name: str
    size: str
    supplier: str
    before: Decimal | None
    after: Decimal | None
    starts: date
    packs: tuple[BookPack, ...]


def packs_stored(ingredient: Ingredient) -> list[dict[str, Any]]:
    """Return an ingredient's packs as a session can store them."""
    return [
        {
            "size": pack.size,
            "price": str(pack.price),
            "starts": pack.starts.isoformat(),
            "ends": pack.ends and pack.ends.isoformat(),
            "supplier": pack.supplier and pack.supplier.name,
            "preferred": pack.preferred,
        }
        for pack in ingredient.packs.select_related("supplier")
    ]


def change_stored(
    pack: Pack, packs: Iterable[Mapping[str, Any]], *, before: Decimal | None, after: Decimal | None
) -> dict[str, Any]:
    """Return a change as a session can store it; ``packs`` are those of :func:`packs_stored` before it."""
    return {
        "ingredient": pack.ingredient.code,
        "pk": pack.ingredient_id,
        "name": pack.ingredient.name,
        "size": pack.size,
        "supplier": pack.supplier.name if pack.supplier else "",
        "before": None if before is None else str(before),
        "after": None if after is None else str(after),
        "starts": pack.starts.isoformat(),
        "packs": list(packs),
    }


def price_before(pack: Pack, packs: Iterable[Mapping[str, Any]]) -> Decimal | None:
    """Return what the same pack of the same supplier cost until a price was recorded; None when it had none."""
    supplier = pack.supplier.name if pack.supplier else None
    same = [row for row in packs if parse_measure(row["size"]) == pack.measure and row["supplier"] == supplier]
    earlier = [row for row in same if row["starts"] < pack.starts.isoformat()]
    return Decimal(max(earlier, key=lambda row: row["starts"])["price"]) if earlier else None


def change_read(stored: Mapping[str, Any] | None, ingredient: Ingredient) -> PriceChange | None:
    """Read a session's change; None when there is none, or when it was of another ingredient."""
    if not stored or stored.get("pk") != ingredient.pk:
        return None
    return PriceChange(
        ingredient=stored["ingredient"],
        name=stored["name"],
        size=stored["size"],
        supplier=stored["supplier"],
        before=None if stored["before"] is None else Decimal(stored["before"]),
        after=None if stored["after"] is None else Decimal(stored["after"]),
        starts=date.fromisoformat(stored["starts"]),
        packs=tuple(_pack(row) for row in stored["packs"]),
    )


def _pack(row: Mapping[str, Any]) -> BookPack:
    return BookPack(
        size=parse_measure(row["size"]),
        price=Fraction(row["price"]),
        start=date.fromisoformat(row["starts"]),
        end=row["ends"] and date.fromisoformat(row["ends"]),
        supplier=row["supplier"],
        preferred=row["preferred"],
    )
