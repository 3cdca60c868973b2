"""The inside of pans: area, volume, and the ratio of two pans."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from catalog.molds.models import Mold

#: π to 20 decimals, far more than the accuracy of a pan's measures.
PI: Final = Fraction(314_159_265_358_979_323_846, 10**20)


@dataclass(frozen=True, slots=True)
class Pan:
    """A pan's inside, in centimetres; ``height`` is how high it is filled."""

    shape: str
    diameter: Fraction | None
    length: Fraction | None
    width: Fraction | None
    height: Fraction | None

    @property
    def area(self) -> Fraction | None:
        """Area of the bottom in cm²."""
        if self.shape == Mold.Shape.ROUND:
            return None if self.diameter is None else PI / 4 * self.diameter**2
        return None if self.length is None or self.width is None else self.length * self.width

    @property
    def volume(self) -> Fraction | None:
        """Volume in ml, or None while a measure is missing."""
        return None if self.area is None or self.height is None else self.area * self.height


def mold_pan(mold: Mold, fill_height: Decimal | Fraction | None = None) -> Pan:
    """Return a mold's inside, filled to a height or to its rim."""
    height = fill_height if fill_height is not None else mold.height_cm
    sizes = (mold.diameter_cm, mold.length_cm, mold.width_cm, height)
    return Pan(mold.shape, *(None if size is None else Fraction(size) for size in sizes))


def pan_factor(one: Pan, other: Pan) -> Fraction | None:
    """Return the ratio of volumes, to four decimals; the ratio of areas where a height is missing."""
    if one.volume and other.volume:
        exact = other.volume / one.volume
    elif one.area and other.area:
        exact = other.area / one.area
    else:
        return None
    return Fraction(round(exact * 10_000), 10_000) or None
