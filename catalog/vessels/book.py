"""Vessels the kitchen owns: rows to Book values, and back."""

from dataclasses import replace
from typing import Any, Final

from catalog.book.row_writing import remove_stale, upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal_or_none, exact_or_none
from catalog.vessels.models import Vessel
from costing.contract import Book
from costing.contract import book as values

SIZES: Final = ("diameter_cm", "length_cm", "width_cm", "height_cm")


def _read(book: Book, _: RecordCache) -> Book:
    """Add the vessels by name; one query. Sorted here: databases collate names differently."""
    rows = Rows(Vessel, "name", "kind", *SIZES, "owned", "wall")
    return replace(book, vessels=tuple(_vessel(row) for row in sorted(rows, key=lambda row: str(row[0]))))


def _vessel(row: tuple[Any, ...]) -> values.Vessel:
    name, kind, *sizes, owned, wall = row
    inside = {size: exact_or_none(column) for size, column in zip(SIZES, sizes, strict=True)}
    return values.Vessel(name=name, kind=kind, owned=owned, wall=wall, **inside)


def _write(book: Book, keys: Keys) -> None:
    keys["vessels"] = upsert(map(_row, book.vessels), by="name")


def _row(vessel: values.Vessel) -> Vessel:
    sizes = {size: decimal_or_none(getattr(vessel, size)) for size in SIZES}
    return Vessel(name=vessel.name, kind=vessel.kind, owned=vessel.owned, wall=vessel.wall, **sizes)


def _clear(keys: Keys) -> None:
    remove_stale(Vessel, keys["vessels"])


SECTION: Final = Section(read=_read, write=_write, clear=_clear)
