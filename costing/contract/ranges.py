"""The allowed ranges of numbers, and the check of one object's numbers against them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from costing.contract.entries import Entry
from costing.contract.errors import Param, Path
from costing.contract.problems import Problems
from costing.money.rounding import is_minor


@dataclass(frozen=True, slots=True)
class Range:
    """The allowed range of a number.

    Parameters
    ----------
    code : str
        Code of the error for a number outside.
    name : str
        Name of the range, or its words where it has no name.
    least, most : Fraction or int, optional
        The least and the most the number may be; None where there is no such bound.
    above_least, below_most : bool, optional
        Whether the bound itself is excluded.
    """

    code: str
    name: str
    least: Fraction | int | None = None
    most: Fraction | int | None = None
    above_least: bool = False
    below_most: bool = False

    def holds(self, value: Fraction | int) -> bool:
        """Return whether a number lies in the range.

        Parameters
        ----------
        value : Fraction or int
            Any number.
        """
        if self.least is not None and (value < self.least or (self.above_least and value == self.least)):
            return False
        return self.most is None or value < self.most or (value == self.most and not self.below_most)

    def params(self) -> dict[str, Param]:
        """Return the range as parameters of a sentence."""
        found: dict[str, Param] = {"range": self.name}
        if self.least is not None:
            found["least"] = self.least
        if self.most is not None:
            found["most"] = self.most
        return found


SHARE = Range("bad_share", "share", 0, 1, above_least=True)
MARGIN = Range("bad_share", "margin", 0, 1, below_most=True)
DISCOUNT = Range("bad_share", "discount", 0, 1)
RATE = Range("bad_share", "rate", 0)
ABOVE_ZERO = Range("negative_amount", "above_zero", 0, above_least=True)
NOT_NEGATIVE = Range("negative_amount", "not_negative", 0)

Ranges = dict[str, Range]
_OWNERS = ("name", "code", "size", "role", "station", "product")


def check_ranges(found: Problems, item: Entry, path: Path, ranges: Ranges) -> None:
    """Check the numbers of one object against their ranges.

    Parameters
    ----------
    found : Problems
        Where errors go.
    item : Entry
        The object.
    path : tuple of str or int
        Its place.
    ranges : dict of str to Range
        Key -> range.
    """
    for key, allowed in ranges.items():
        exact = item.number(key)
        if exact is not None and not allowed.holds(exact):
            params = _number_params(item, path, key) | allowed.params()
            found.report(allowed.code, (*path, key), "out_of_range", **params)


def check_minor(found: Problems, item: Entry, path: Path, keys: tuple[str, ...], digits: int) -> None:
    """Check that amounts of money are whole multiples of the minor unit.

    Parameters
    ----------
    found : Problems
        Where errors go.
    item : Entry
        The object.
    path : tuple of str or int
        Its place.
    keys : tuple of str
        Keys of amounts of money [currency].
    digits : int
        Decimals of the minor unit.
    """
    for key in keys:
        exact = item.number(key)
        if isinstance(exact, Fraction) and not is_minor(exact, digits):
            params = _number_params(item, path, key)
            found.report("schema", (*path, key), "finer_than_minor", **params, digits=digits)


def _number_params(item: Entry, path: Path, key: str) -> dict[str, Param]:
    """Return which number it is and whose: by name, code, size, or the object's key."""
    owner = next((name for name in map(item.text, _OWNERS) if name), path[-1] if path else "")
    named: dict[str, Param] = {"owner": owner} if isinstance(owner, str) and owner else {}
    return {"key": key, "value": item.written(key)} | named
