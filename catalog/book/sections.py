"""The sections of a Book: each package of the catalog stores one section as rows and registers it here.

Packages with rows import this package, because all of them show prices of the current Book, so it cannot import them.
Instead `catalog.apps` registers the section of each (`catalog/<package>/book.py`), in order, when the app is ready. The
keys, columns and checks of one concept are thus defined in that concept's package.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from catalog.book.rows import RecordCache
from costing.contract import Book
from costing.contract.problems import Problems

#: List of a Book, such as ``recipes`` -> code (or what else names it) -> primary key of its row.
Keys = defaultdict[str, dict[Any, int]]


def _nothing(*_: Any) -> None:
    """Do nothing: the default of an optional pass."""


@dataclass(frozen=True, slots=True)
class Section:
    """How one package's rows are read into values of a Book, and how the values are written as rows.

    A Book is read section by section, each adding its own values; ``read`` reuses records whose rows are the same as
    when the Book was last read. It is written in three passes, so that rows may refer
    to each other whatever the database held before: ``write`` creates or changes rows with a code and records their
    primary keys; ``clear``, in reverse order, deletes rows the Book lacks; ``write_details`` replaces rows without a
    code. ``check`` applies rules beyond the contract to a document that is valid by the contract.
    """

    read: Callable[[Book, RecordCache], Book]
    write: Callable[[Book, Keys], None]
    clear: Callable[[Keys], None] = _nothing
    write_details: Callable[[Book, Keys], None] = _nothing
    check: Callable[[Problems], None] = _nothing


_sections: list[Section] = []


def register(sections: Iterable[Section]) -> None:
    """Register the sections in order: each may refer to records of those before it."""
    _sections[:] = sections


def all_sections() -> tuple[Section, ...]:
    """Return the sections in their order."""
    return tuple(_sections)


def no_keys() -> Keys:
    """Return an empty mapping of primary keys."""
    return defaultdict(dict)
