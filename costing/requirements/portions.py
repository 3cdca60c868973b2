"""Units of each dessert for a number of guests: pieces allocated by share, in sale multiples."""

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
    """The portions of one product: units, the pieces in them, and its exact share."""

    product: str
    units: int
    pieces: int
    meant: Fraction


@dataclass(frozen=True, slots=True)
class Portions:
    """The portions of all products: pieces needed, pieces made, and how many are left over."""

    products: tuple[ProductPortions, ...]
    asked: int
    pieces: int

    @property
    def leftover(self) -> int:
        """Pieces made beyond those needed."""
        return self.pieces - self.asked


def portions_for_guests(guests: int, pieces_per_guest: Fraction, choices: Sequence[ChosenProduct]) -> Portions:
    """Allocate the pieces a party needs to the chosen products.

    Each product first gets the whole multiples that fit into its share. The pieces still missing come from one more
    multiple each of the products whose remainder is the largest part of a multiple (equal remainders: the one listed
    first). Last, an added multiple that turns out not to be needed is removed, smallest remainder first.

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
        When nothing is chosen, or a number is below zero.

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
