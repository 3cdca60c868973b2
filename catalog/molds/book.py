"""Molds the kitchen owns: rows to Book values, and back."""

from dataclasses import replace
from typing import Any, Final

from catalog.book.row_writing import remove_stale, upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal_or_none, exact_or_none
from catalog.molds.models import Mold
from costing.contract import Book
from costing.contract import book as values

SIZES: Final = ("diameter_cm", "length_cm", "width_cm", "height_cm")


def _read(book: Book, _: RecordCache) -> Book:
    """Add the molds by name; one query. Sorted here: databases collate names differently."""
    rows = Rows(Mold, "name", "shape", *SIZES, "owned", "wall")
    return replace(book, molds=tuple(_mold(row) for row in sorted(rows, key=lambda row: str(row[0]))))


def _mold(row: tuple[Any, ...]) -> values.Mold:
    name, shape, *sizes, owned, wall = row
    inside = {size: exact_or_none(column) for size, column in zip(SIZES, sizes, strict=True)}
    return values.Mold(name=name, shape=shape, owned=owned, wall=wall, **inside)


def _write(book: Book, keys: Keys) -> None:
    keys["molds"] = upsert(map(_row, book.molds), by="name")


def _row(mold: values.Mold) -> Mold:
    sizes = {size: decimal_or_none(getattr(mold, size)) for size in SIZES}
    return Mold(name=mold.name, shape=mold.shape, owned=mold.owned, wall=mold.wall, **sizes)


def _clear(keys: Keys) -> None:
    remove_stale(Mold, keys["molds"])


SECTION: Final = Section(read=_read, write=_write, clear=_clear)
