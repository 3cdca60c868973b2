"""The parts a Book is made of: each package of the catalog keeps its own as rows and says here how.

This package stands below those that have the rows, because all of them show prices by the current Book. So it does not
import them: each hands in its section (`catalog/<package>/book.py`), in order, when the app is ready (`catalog.apps`).
What is said of one concept in a Book, its columns and what must hold for it, then stands in that concept's package.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from costing.contract import Book
from costing.contract.problems import Problems

#: List of a Book, such as ``recipes`` -> code (or what else names it) -> primary key of its row.
Keys = defaultdict[str, dict[Any, int]]


def _nothing(*_: Any) -> None:
    """Stand in for a step that a section has no need of."""


@dataclass(frozen=True, slots=True)
class Section:
    """How one package's rows become values of a Book, and the values rows again.

    A Book is read section by section, each adding its own values. It is written in three passes, so that rows may point
    to each other whatever a kitchen held before: ``write`` creates or changes what has a code and notes the primary
    keys; ``clear``, in reverse order, takes out what the Book lacks; ``write_details`` writes rows without a code anew.
    ``check`` finds what the contract does not know of, over a document that keeps the contract.
    """

    read: Callable[[Book], Book]
    write: Callable[[Book, Keys], None]
    clear: Callable[[Keys], None] = _nothing
    write_details: Callable[[Book, Keys], None] = _nothing
    check: Callable[[Problems], None] = _nothing


_sections: list[Section] = []


def register(sections: Iterable[Section]) -> None:
    """Take the sections in their order: each may name what stands in those before it."""
    _sections[:] = sections


def all_sections() -> tuple[Section, ...]:
    """Return the sections in their order."""
    return tuple(_sections)


def no_keys() -> Keys:
    """Return keys of nothing yet."""
    return defaultdict(dict)
