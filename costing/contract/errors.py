"""Errors of a Book or a Brief: a code, a place, an English sentence, and the sentence's parameters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

CODES: frozenset[str] = frozenset(
    {
        "schema",
        "duplicate_code",
        "unknown_ingredient",
        "unknown_part",
        "unknown_recipe",
        "unknown_product",
        "unknown_role",
        "unknown_station",
        "unknown_tax",
        "bad_measure",
        "no_density",
        "no_piece_weight",
        "recipe_cycle",
        "bad_share",
        "negative_amount",
        "bad_units",
        "duplicate_line",
        "no_pack_in_force",
        "no_price_rule",
        "no_tax_in_force",
        "no_delivery",
    }
)

Path = tuple[str | int, ...]
"""Keys and list positions from the top of a document."""
Param = str | int | Fraction | date | tuple[str, ...]
"""A plain value a sentence is made of: a name, a code, an amount, a bound, a day."""
Params = Mapping[str, Param]


def pointer(root: str, path: Path) -> str:
    """Write a place in a document as `book#` or `brief#` and a JSON pointer.

    Parameters
    ----------
    root : str
        `book` or `brief`.
    path : tuple of str or int
        Keys and list positions from the top of the document.

    Returns
    -------
    str
        For example `book#/recipes/0/lines/2/amount`.

    References
    ----------
    RFC 6901, section 3: `~` is written `~0` and `/` is written `~1`.
    """
    return root + "#" + "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)


@dataclass(frozen=True, slots=True)
class CostingError:
    """One error. Two errors are equal when code, place and sentence are.

    Parameters
    ----------
    code : str
        One of `CODES`.
    at : str
        `book#` or `brief#` and a JSON pointer.
    message : str
        An English sentence that names the thing and the fix.
    params : mapping of str to str, int, Fraction, date or tuple of str, optional
        The sentence's parameters, so that it can be written in another language. `reason` distinguishes the sentences
        of one code: it is the key of the English one in `costing.contract.sentences`.
    """

    code: str
    at: str
    message: str
    params: Params = field(default_factory=dict, compare=False)

    def as_json(self) -> dict[str, str]:
        """Return the error as the command prints it."""
        return {"code": self.code, "at": self.at, "message": self.message}


class InputErrors(Exception):
    """All errors of a Book or a Brief, in document order, each once.

    Parameters
    ----------
    errors : iterable of CostingError
        At least one error.
    """

    def __init__(self, errors: Iterable[CostingError]) -> None:
        self.errors: tuple[CostingError, ...] = tuple(dict.fromkeys(errors))
        super().__init__("; ".join(f"{e.code} at {e.at}: {e.message}" for e in self.errors))

    def as_json(self) -> dict[str, list[dict[str, str]]]:
        """Return the errors as the command prints them on standard error."""
        return {"errors": [error.as_json() for error in self.errors]}
