"""What the checks of a document share: where they stand, what they may read, how they report."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from costing.contract.errors import CostingError, Path, pointer
from costing.measures.numbers import DECIMAL_TEXT, number

Place = tuple[int, ...]


@dataclass(slots=True)
class Problems:
    """Errors found in one document, given back in document order."""

    root: str
    document: Any
    found: list[tuple[Path, CostingError]] = field(default_factory=list)

    def add(self, code: str, path: Path, message: str) -> None:
        """Note one error.

        Parameters
        ----------
        code : str
            Error code.
        path : tuple of str or int
            Its place.
        message : str
            A sentence that names the thing and the fix.
        """
        self.found.append((path, CostingError(code, pointer(self.root, path), message)))

    def in_order(self) -> list[CostingError]:
        """Give the errors in document order, each once."""
        ordered = sorted(self.found, key=lambda item: place(self.document, item[0]))
        return list(dict.fromkeys(error for _, error in ordered))


def place(document: Any, path: Path) -> Place:
    """Tell where a path stands in its document, so that errors can be put in order.

    Parameters
    ----------
    document : object
        The document.
    path : tuple of str or int
        A place in it, or just beyond it.
    """
    steps: list[int] = []
    for step in path:
        if isinstance(document, dict):
            steps.append(list(document).index(step) if step in document else len(document))
            document = document.get(step)
        else:
            steps.append(step if isinstance(step, int) else 0)
            inside = isinstance(document, list) and isinstance(step, int) and step < len(document)
            document = document[step] if inside else None
    return tuple(steps)


def as_object(value: Any) -> dict[str, Any]:
    """Give an object, or an empty one where something else stands."""
    return value if isinstance(value, dict) else {}


def entries(value: Any, path: Path) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Walk over the objects of a list with their places; anything else is passed over."""
    if isinstance(value, list):
        for i, item in enumerate(value):
            if isinstance(item, dict):
                yield (*path, i), item


def as_text(value: Any) -> str | None:
    """Give a text, or None where something else stands."""
    return value if isinstance(value, str) else None


def as_decimal(value: Any) -> Fraction | None:
    """Give a decimal, or None where something else stands."""
    return number(value) if isinstance(value, str) and DECIMAL_TEXT.fullmatch(value) else None


def as_count(value: Any) -> int | None:
    """Give a whole number, or None where something else stands."""
    return value if isinstance(value, int) and not isinstance(value, bool) else None


@dataclass(frozen=True, slots=True)
class Range:
    """What a number must be, the code when it is not, and the words for it."""

    code: str
    holds: Callable[[Fraction | int], bool]
    words: str


SHARE = Range("bad_share", lambda value: 0 < value <= 1, "above 0 and at most 1")
MARGIN = Range("bad_share", lambda value: 0 <= value < 1, "at least 0 and below 1")
DISCOUNT = Range("bad_share", lambda value: 0 <= value <= 1, "between 0 and 1")
RATE = Range("bad_share", lambda value: value >= 0, "0 or more")
ABOVE_ZERO = Range("negative_amount", lambda value: value > 0, "above zero")
NOT_NEGATIVE = Range("negative_amount", lambda value: value >= 0, "zero or more")

Ranges = dict[str, Range]


def check_numbers(found: Problems, item: dict[str, Any], path: Path, ranges: Ranges) -> None:
    """Check the numbers of one object against their ranges.

    Parameters
    ----------
    found : Findings
        Where errors go.
    item : dict
        The object.
    path : tuple of str or int
        Its place.
    ranges : dict of str to Range
        Key -> range.
    """
    for key, allowed in ranges.items():
        value = item.get(key)
        exact = as_decimal(value) if isinstance(value, str) else as_count(value)
        if exact is not None and not allowed.holds(exact):
            name = spoken(key) + _owner(item, path)
            found.add(allowed.code, (*path, key), f"{name} is {value}. It has to be {allowed.words}.")


def _owner(item: dict[str, Any], path: Path) -> str:
    """Say whose number it is: by name, code, size, or the key it stands under."""
    named = (as_text(item.get(key)) for key in ("name", "code", "size", "role", "station", "product"))
    owner = next((name for name in named if name), path[-1] if path and isinstance(path[-1], str) else None)
    return f" of “{owner}”" if owner else ""


def check_minor(found: Problems, item: dict[str, Any], path: Path, keys: tuple[str, ...], digits: int) -> None:
    """Check that amounts of money are whole multiples of the minor unit.

    Parameters
    ----------
    found : Findings
        Where errors go.
    item : dict
        The object.
    path : tuple of str or int
        Its place.
    keys : tuple of str
        Keys of amounts of money [currency].
    digits : int
        Decimals of the minor unit.
    """
    for key in keys:
        exact = as_decimal(item.get(key))
        if exact is not None and (exact * 10**digits).denominator != 1:
            found.add(
                "schema", (*path, key), finer_than_minor(spoken(key) + _owner(item, path), str(item[key]), digits)
            )


def finer_than_minor(name: str, written: str, digits: int) -> str:
    """Say that an amount of money is finer than the currency goes."""
    allowed = f"at most {digits} decimals" if digits else "no decimals"
    return f"{name} is {written}, finer than this currency goes. Write it with {allowed}."


def spoken(key: str) -> str:
    """Write a key as the start of a sentence: `price_step` becomes `Price step`."""
    return key.replace("_", " ").capitalize()
