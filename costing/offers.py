"""What ingredients are bought at on a costing date: packs in force, price per gram, cheapest whole packs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.book import Ingredient, Pack
from costing.measures import CupKind
from costing.packs import PackShelf
from costing.tables import wide

KEPT_BASKETS = 256


@dataclass(slots=True)
class Basket:
    """Whole packs that cover a need: how many of each pack of the offer, what they cost and hold."""

    counts: tuple[int, ...]
    cost: Fraction
    wide_cost: Decimal
    wide_bought: Decimal


@dataclass(frozen=True, slots=True)
class Offer:
    """What an ingredient is bought at on a costing date: its packs in force, and the price for what is used."""

    packs: tuple[Pack, ...]
    shelf: PackShelf
    sizes: tuple[Fraction, ...]
    price: Fraction
    wide_price: Decimal
    baskets: dict[int, Basket]

    def basket(self, units: int) -> Basket:
        """Give the cheapest packs that cover a need, in the shelf's units."""
        found = self.baskets.get(units)
        if found is None:
            counts = self.shelf.cheapest(units)
            cost = sum((pack.price * n for pack, n in zip(self.packs, counts, strict=True)), Fraction(0))
            bought = sum((size * n for size, n in zip(self.sizes, counts, strict=True)), Fraction(0))
            found = Basket(counts, cost, wide(cost), wide(bought))
            if len(self.baskets) >= KEPT_BASKETS:
                self.baskets.clear()
            self.baskets[units] = found
        return found


class Offers(dict[int, Offer | None]):
    """Ingredient -> offer in force on one costing date, made when first asked for."""

    def __init__(self, ingredients: tuple[Ingredient, ...], cup: CupKind, day: date) -> None:
        super().__init__()
        self._ingredients, self._cup, self._day = ingredients, cup, day

    def __missing__(self, at: int) -> Offer | None:
        ingredient = self._ingredients[at]
        packs = standing(ingredient, self._day)
        offer = None
        if packs:
            sizes = tuple(ingredient.amount_of(pack.size, self._cup) for pack in packs)
            counted = [i for i, pack in enumerate(packs) if pack.preferred] or range(len(packs))
            price = min(packs[i].price / sizes[i] for i in counted)
            shelf = PackShelf(list(sizes), [pack.price for pack in packs])
            offer = Offer(packs, shelf, sizes, price, wide(price), {})
        self[at] = offer
        return offer


def standing(ingredient: Ingredient, day: date) -> tuple[Pack, ...]:
    """Give the packs that stand on a costing date: of equal size texts in force only the cheapest.

    Parameters
    ----------
    ingredient : Ingredient
        What is bought.
    day : date
        Costing date.

    Returns
    -------
    tuple of Pack
        In the order listed; of equally cheap ones the one listed first.
    """
    cheapest: dict[str, int] = {}
    for i, pack in enumerate(ingredient.packs):
        if pack.in_force(day):
            rival = cheapest.get(pack.size.text)
            if rival is None or pack.price < ingredient.packs[rival].price:
                cheapest[pack.size.text] = i
    return tuple(ingredient.packs[i] for i in sorted(cheapest.values()))
