"""How many of each dessert the guests need: pieces spread by share, in the multiples they are sold in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class ChosenProduct:
    """A product chosen for the guests.

    Parameters
    ----------
    product : str
        Code of the product.
    share : Fraction
        Its weight among the chosen products, any number that is not negative.
    sale_multiple : int
        Units are sold in multiples of this.
    servings : int
        Pieces in one unit.
    """

    product: str
    share: Fraction
    sale_multiple: int = 1
    servings: int = 1

    @property
    def block(self) -> int:
        """Pieces in the least quantity that can be sold."""
        return self.sale_multiple * self.servings


@dataclass(frozen=True, slots=True)
class ProductPortions:
    """What the guests get of one product: units, the pieces in them, and the exact share it was meant to get."""

    product: str
    units: int
    pieces: int
    meant: Fraction


@dataclass(frozen=True, slots=True)
class Portions:
    """All of it: pieces asked for, pieces there will be, and what is left over of them."""

    products: tuple[ProductPortions, ...]
    asked: int
    pieces: int

    @property
    def leftover(self) -> int:
        """Pieces more than asked for."""
        return self.pieces - self.asked


def portions_for_guests(guests: int, pieces_per_guest: Fraction, choices: Sequence[ChosenProduct]) -> Portions:
    """Spread the pieces a party needs over the chosen products.

    Each product gets the multiples that fit whole into its share. What is then still missing is made up by one more
    multiple of those whose remainder is the largest part of a multiple (equal remainders: the one listed first). Last,
    an added multiple that is not needed after all is taken back, smallest remainder first.

    Parameters
    ----------
    guests : int
        People who eat, not negative.
    pieces_per_guest : Fraction
        Pieces for each of them, not negative [each].
    choices : sequence of ChosenProduct
        Products with their shares; some share above zero.

    Returns
    -------
    Portions
        In the order given; never fewer pieces than asked for, and no product a whole multiple away from its share.

    Raises
    ------
    ValueError
        When the numbers cannot be spread: nothing chosen, or a number below zero.

    References
    ----------
    The method of largest remainder (Hamilton), in multiples of unequal size.
    """
    total = sum((choice.share for choice in choices), Fraction(0))
    if guests < 0 or pieces_per_guest < 0 or any(choice.share < 0 for choice in choices):
        raise ValueError("Guests, pieces for each and shares cannot be below zero.")
    if not total:
        raise ValueError("Choose at least one product with a share above zero.")
    asked = -(-guests * pieces_per_guest // 1)
    meant = [asked * choice.share / total for choice in choices]
    blocks = [int(share // choice.block) for share, choice in zip(meant, choices, strict=True)]
    remainder = [share / choice.block - n for share, choice, n in zip(meant, choices, blocks, strict=True)]
    first = sorted((i for i in range(len(choices)) if remainder[i]), key=lambda i: (-remainder[i], i))
    missing = asked - sum(n * choice.block for n, choice in zip(blocks, choices, strict=True))
    added = []
    for i in first:
        if missing > 0:
            added.append(i)
            missing -= choices[i].block
    for i in reversed(added):
        if missing + choices[i].block <= 0:
            added.remove(i)
            missing += choices[i].block
    for i in added:
        blocks[i] += 1
    products = tuple(
        ProductPortions(choice.product, n * choice.sale_multiple, n * choice.block, share)
        for choice, n, share in zip(choices, blocks, meant, strict=True)
    )
    return Portions(products, asked, sum(portions.pieces for portions in products))
