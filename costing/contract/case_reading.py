"""Reads numbers and texts of a case or a scenario; errors are recorded with their places, all at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from costing.contract.errors import CostingError, Path, pointer

ROOT = "case"

_ENDLESS = 1e300


@dataclass(frozen=True, slots=True)
class Bound:
    """The allowed range of a number.

    Parameters
    ----------
    name : str
        Its name in sentences.
    unit : str
        Its unit, with a space before it when it has one.
    low : float
        The least, in that unit [any].
    high : float
        The most, in that unit [any].
    why : str
        An additional sentence.
    """

    name: str
    unit: str
    low: float
    high: float
    why: str = ""


@dataclass(slots=True)
class Reading:
    """Reads numbers and texts from a document and records errors; a wrong value is replaced by a placeholder.

    Parameters
    ----------
    errors : list of CostingError
        What was wrong so far.
    root : str
        What is read, for the places of errors.
    """

    errors: list[CostingError] = field(default_factory=list)
    root: str = ROOT

    def note(self, code: str, path: Path, message: str) -> None:
        """Record an error.

        Parameters
        ----------
        code : str
            Its code.
        path : tuple of str or int
            Its place in the document.
        message : str
            A sentence that names the thing and the fix.
        """
        self.errors.append(CostingError(code, pointer(self.root, path), message))

    def object(self, value: Any, path: Path, needed: Sequence[str], allowed: Sequence[str] = ()) -> Mapping[str, Any]:
        """Read an object.

        Parameters
        ----------
        value : object
            What stands in the document.
        path : tuple of str or int
            Its place.
        needed : sequence of str
            Keys that must be there.
        allowed : sequence of str, optional
            Keys that may be there too.

        Returns
        -------
        mapping of str to object
            The object; empty where it is none.
        """
        if not isinstance(value, dict):
            self.note("schema", path, f"This is {kind_of(value)}. Give an object with {', '.join(needed or allowed)}.")
            return {}
        known = tuple(dict.fromkeys((*needed, *allowed)))
        for key in value:
            if key not in known:
                self.note("schema", (*path, key), f"“{key}” is not known here. Known are {', '.join(known)}.")
        for key in needed:
            if key not in value:
                self.note("schema", path, f"“{key}” is missing. Add it.")
        return value

    def number(self, owner: Mapping[str, Any], key: str, path: Path, bound: Bound, default: float = 0.0) -> float:
        """Read a number.

        Parameters
        ----------
        owner : mapping of str to object
            The object it belongs to.
        key : str
            Its key.
        path : tuple of str or int
            The object's place.
        bound : Bound
            What it may be.
        default : float, optional
            What it is where the key is left out, in the bound's unit [any].

        Returns
        -------
        float
            The number; a placeholder within the bound where it is wrong.
        """
        value = owner.get(key, default)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.note("schema", (*path, key), f"{bound.name} is {kind_of(value)}. Give a number.")
        elif bound.low <= value <= bound.high:
            return float(value)
        elif key in owner:
            code = "negative_amount" if value < 0 <= bound.low else "out_of_range"
            message = f"{bound.name} is {_figure(value, bound.unit)}. Give {bound.low:g} to {bound.high:g}{bound.unit}."
            self.note(code, (*path, key), f"{message} {bound.why}".rstrip())
        return float(max(bound.low, default))

    def one_of(
        self, owner: Mapping[str, Any], key: str, path: Path, choices: Mapping[str, Any], name: str = ""
    ) -> str | None:
        """Read one of several words.

        Parameters
        ----------
        owner : mapping of str to object
            The object it belongs to.
        key : str
            Its key.
        path : tuple of str or int
            The object's place.
        choices : mapping of str to object
            The words.
        name : str, optional
            What sentences call it; its key when left out.

        Returns
        -------
        str or None
            The word; None where there is none, or another.
        """
        value = owner.get(key)
        if isinstance(value, str) and value in choices:
            return value
        if key in owner:
            given = f"“{value}”" if isinstance(value, str) else kind_of(value)
            self.note("schema", (*path, key), f"The {name or key} is {given}. Give one of: {'; '.join(choices)}.")
        return None

    def flag(self, owner: Mapping[str, Any], key: str, path: Path) -> bool:
        """Read true or false.

        Parameters
        ----------
        owner : mapping of str to object
            The object it belongs to.
        key : str
            Its key.
        path : tuple of str or int
            The object's place.

        Returns
        -------
        bool
            What it says; false where it is left out.
        """
        value = owner.get(key, False)
        if isinstance(value, bool):
            return value
        self.note("schema", (*path, key), f"The {key} is {kind_of(value)}. Give true or false.")
        return False


def _figure(value: float, unit: str) -> str:
    if value != value:  # NaN, the only number that is not itself
        return "not a number"
    # An integer may have more digits than a float can hold.
    return f"{float(value):g}{unit}" if abs(value) < _ENDLESS else "without end"


def kind_of(value: Any) -> str:
    """Name what a value is.

    Parameters
    ----------
    value : object
        What stands in a document.

    Returns
    -------
    str
        For example `a list`.
    """
    kinds: dict[type, str] = {bool: "true or false", str: "text", list: "a list", dict: "an object", type(None): "null"}
    return next((word for kind, word in kinds.items() if isinstance(value, kind)), "a number")
