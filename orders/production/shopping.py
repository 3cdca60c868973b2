"""The shopping list for the orders of some days: the cheapest packs that cover the need, by supplier."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction

from costing.contract import Ingredient
from costing.measures.measure import Measure
from costing.purchasing.offers import Offer
from orders.production.demand import Demand


class Missing(Enum):
    """Why ingredients are listed apart, after the suppliers, in this order."""

    SUPPLIER = "supplier"
    PACK = "pack"


@dataclass(frozen=True)
class ToBuy:
    """One ingredient at one supplier: the total need, and the packs to buy there."""

    ingredient: str
    base: str
    needed: Fraction
    packs: list[tuple[int, Measure]]
    bought: Fraction
    leftover: Fraction
    cost: Fraction
    shared: bool = False
    each: Fraction | None = None
    density: Fraction | None = None

    @property
    def needed_ml(self) -> Fraction | None:
        """What is needed [mL], where a pack is sold by volume and the density is known."""
        return self._volume(self.needed)

    @property
    def leftover_ml(self) -> Fraction | None:
        """What is left over [mL], likewise."""
        return self._volume(self.leftover)

    def _volume(self, grams: Fraction) -> Fraction | None:
        by_volume = any(size.kind == "volume" for _count, size in self.packs)
        return grams / self.density if self.density and by_volume else None

    @property
    def pieces(self) -> int | None:
        """Number of pieces that cover the need, for ingredients with a piece weight, such as eggs and lemons."""
        return None if self.each is None else -(-self.needed // self.each)

    @property
    def pieces_left(self) -> int | None:
        """Number of whole pieces left over."""
        return None if self.each is None else int(self.leftover // self.each)


@dataclass
class SupplierList:
    """The list of one supplier; without a supplier, ``missing`` says why."""

    supplier: str | Missing
    rows: list[ToBuy] = field(default_factory=list)

    @property
    def cost(self) -> Fraction:
        """Total price of the packs."""
        return sum((row.cost for row in self.rows), Fraction(0))


def shopping(found: Demand) -> list[SupplierList]:
    """List the whole packs of least price that cover the need, by supplier, in alphabetical order.

    Ingredients without a pack in force are in a list of their own at the end.
    """
    lists: dict[str | Missing, SupplierList] = {}
    slots = found.workings.tables.slots
    places = {*(slots[slot].ingredient for slot in found.workings.demand[1]), *found.workings.packaging}
    for at in sorted(places, key=lambda at: found.compiled.ingredients[at].name.casefold()):
        ingredient = found.compiled.ingredients[at]
        needed = found.workings.need(at)[1]
        for supplier, row in _rows(ingredient, needed, found.workings.offers[at]):
            lists.setdefault(supplier, SupplierList(supplier)).rows.append(row)
    return sorted(lists.values(), key=_place)


def _place(found: SupplierList) -> tuple[int, str]:
    if isinstance(found.supplier, Missing):
        return list(Missing).index(found.supplier) + 1, ""
    return 0, found.supplier.casefold()


def _rows(ingredient: Ingredient, needed: Fraction, offer: Offer | None) -> Iterable[tuple[str | Missing, ToBuy]]:
    zero, each = Fraction(0), ingredient.grams_each if ingredient.base == "g" else None
    if offer is None:
        yield Missing.PACK, ToBuy(ingredient.name, ingredient.base, needed, [], zero, zero, zero, each=each)
        return
    counts = offer.shelf.cheapest(offer.shelf.units(needed))
    bought = sum((offer.sizes[i] * count for i, count in enumerate(counts)), zero)
    here: dict[str | Missing, list[int]] = {}
    for i, count in enumerate(counts):
        if count:
            here.setdefault(offer.packs[i].supplier or Missing.SUPPLIER, []).append(i)
    for supplier, taken in here.items():
        yield (
            supplier,
            ToBuy(
                ingredient=ingredient.name,
                base=ingredient.base,
                needed=needed,
                packs=[(counts[i], offer.packs[i].size) for i in taken],
                bought=sum((offer.sizes[i] * counts[i] for i in taken), zero),
                leftover=bought - needed,
                cost=sum((offer.packs[i].price * counts[i] for i in taken), zero),
                shared=len(here) > 1,
                each=each,
                density=ingredient.density if ingredient.base == "g" else None,
            ),
        )
