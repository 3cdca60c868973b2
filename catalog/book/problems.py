"""Problems of a Book: the record each is about, by code and name, and the row in it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

from catalog.records.reasons import Reason
from costing.contract import Book, CostingError

#: Lists of a Book whose records are identified by a name; the others by their code.
_NAMED: Final = ("ingredients", "recipes", "products")
_LISTED: Final = (*_NAMED, "price_rules")
_CODED: Final = ("roles", "stations", "taxes")
#: Parts of a Book that are a single record; the currency belongs to the kitchen.
_SINGLE: Final = {"kitchen": "kitchen", "currency": "kitchen", "overhead": "overhead", "delivery": "delivery"}
#: Lists inside a record whose rows are named by their number.
_ROWS: Final = ("lines", "packs", "parts", "fill", "packaging", "labour", "station_time")


@dataclass(frozen=True, slots=True)
class BookProblem:
    """One problem that stops pricing: a reason, and the record of the Book where it can be fixed.

    ``kind`` is a list of the Book, or ``kitchen``, ``overhead`` or ``delivery``; ``thing`` is the record's code in that
    list.
    """

    code: str
    reason: Reason
    kind: str = ""
    thing: str = ""


#: Problems that stop every price before the kitchen is set up.
NO_KITCHEN: Final = BookProblem("no_kitchen", Reason("no_kitchen"), "kitchen")


def problems_of(errors: Iterable[CostingError], book: Book) -> tuple[BookProblem, ...]:
    """Return a problem for each error of a Book, with the record it is about."""
    return tuple(_problem(error, book) for error in errors)


def _problem(error: CostingError, book: Book) -> BookProblem:
    keys = _keys(error.at)
    kind = _SINGLE.get(keys[0], keys[0]) if keys else ""
    thing = _thing(book, kind, keys[1]) if len(keys) > 1 else None
    where = Reason(f"at_{kind}" if kind and (thing or kind in _SINGLE) else "at_catalog", {"name": _name(thing, kind)})
    if thing and len(keys) > 3 and keys[2] in _ROWS and keys[3].isdigit():
        where = Reason(f"at_{keys[2]}", {"owner": where, "number": int(keys[3]) + 1})
    reason = Reason("book_problem", {"where": where, "message": error.message})
    return BookProblem(error.code, reason, kind, "" if thing is None else thing.code)


def _keys(at: str) -> list[str]:
    return [key.replace("~1", "/").replace("~0", "~") for key in at.partition("#")[2].split("/")[1:]]


def _thing(book: Book, kind: str, key: str) -> Any:
    """Return the record of a list that a key of a place refers to: by its position, or by its code."""
    if kind in _LISTED and key.isdigit():
        return getattr(book, kind)[int(key)]
    if kind in _CODED:
        return next((record for record in getattr(book, kind) if record.code == key), None)
    return None


def _name(thing: Any, kind: str) -> str:
    if thing is None:
        return ""
    return str(thing.name or thing.code) if kind in _NAMED else str(thing.code)
