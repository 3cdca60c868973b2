"""The offers for ingredients on a costing date: packs in force, price per gram, cheapest whole packs."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.contract.book import Ingredient, Pack
from costing.measures.measure import CupKind, Measure
from costing.measures.numbers import wide
from costing.purchasing.pack_search import PackShelf

MOST_BASKETS = 256


@dataclass(slots=True)
class Basket:
    """Whole packs that cover a need: how many of each pack of the offer, what they cost and hold."""

    counts: tuple[int, ...]
    cost: Fraction
    wide_cost: Decimal
    wide_bought: Decimal


@dataclass(frozen=True, slots=True)
class Offer:
    """The offer for one ingredient on a costing date: its packs in force, and the price for what is used."""

    packs: tuple[Pack, ...]
    shelf: PackShelf
    sizes: tuple[Fraction, ...]
    price: Fraction
    wide_price: Decimal
    baskets: Baskets

    def basket(self, units: int) -> Basket:
        """Return the cheapest packs that cover a need.

        Parameters
        ----------
        units : int
            What has to be covered [units of the shelf].
        """
        found = self.baskets.covering(units)
        if found is None:
            counts = self.shelf.cheapest(units)
            cost = sum((pack.price * n for pack, n in zip(self.packs, counts, strict=True)), Fraction(0))
            bought = sum((size * n for size, n in zip(self.sizes, counts, strict=True)), Fraction(0))
            found = Basket(counts, cost, wide(cost), wide(bought))
            self.baskets.add(units, self.shelf.units(bought), found)
        return found


class Baskets:
    """A cache of baskets, each with the range of needs for which it is known to be the cheapest.

    The basket X that is best for a need N and holds G is best for every need from N to G: what covers a larger need
    covers N too, so nothing that comes before X can cover it, and X does. Of two needs whose best baskets hold the
    same G both are covered by both baskets, so the baskets are one: the needs it is known for reach down to the lower.

    Threads may share it: each entry is correct by itself, at any position of the list.
    """

    def __init__(self) -> None:
        self._entries: list[tuple[int, int, Basket]] = []

    def covering(self, units: int) -> Basket | None:
        """Return the basket known to be the cheapest for a need; None when none is known yet.

        Parameters
        ----------
        units : int
            What has to be covered [units of the shelf].
        """
        entries = self._entries
        at = bisect_left(entries, (units,))
        for held, least, basket in entries[at : at + 1]:
            if least <= units <= held:
                return basket
        return None

    def add(self, units: int, held: int, basket: Basket) -> None:
        """Add the cheapest basket for a need.

        Parameters
        ----------
        units : int
            What has to be covered [units of the shelf].
        held : int
            What the basket holds [units of the shelf].
        basket : Basket
            The cheapest for that need.
        """
        if len(self._entries) >= MOST_BASKETS:
            self._entries = []
        entries = self._entries
        at = bisect_left(entries, (held,))
        if entries[at : at + 1] and entries[at][0] == held:
            entries[at] = (held, min(units, entries[at][1]), entries[at][2])
        else:
            entries.insert(at, (held, units, basket))


class Offers(dict[int, Offer | None]):
    """Ingredient -> offer in force on one costing date, computed when first read."""

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
            offer = Offer(packs, shelf, sizes, price, wide(price), Baskets())
        self[at] = offer
        return offer


def standing(ingredient: Ingredient, day: date) -> tuple[Pack, ...]:
    """Return the packs in force on a costing date; of those of one size, written the same, only the cheapest.

    Two sizes are one where text, amount and unit are: a text alone may stand for several, such as a bag of 1 lb and of
    5 lb.

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
    cheapest: dict[tuple[str, Measure], int] = {}
    for i, pack in enumerate(ingredient.packs):
        if pack.in_force(day):
            same = (pack.size.text, pack.size)
            rival = cheapest.get(same)
            if rival is None or pack.price < ingredient.packs[rival].price:
                cheapest[same] = i
    return tuple(ingredient.packs[i] for i in sorted(cheapest.values()))
