"""Which column of a spreadsheet holds what: proposed from the heads, chosen, remembered. It needs no Django."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any, Final

from catalog.price_lists.heads import head_name

#: Rows among which the head row is looked for.
HEAD_AMONG: Final = 30
#: A row of the grid: its number in the file, and its cells.
GridRow = Sequence[Any]
#: A row below the heads: ``row`` (its number in the file), ``cells`` by column, ``done`` once it was imported.
Line = dict[str, Any]
#: Heads that each column may have.
Heads = Sequence[Sequence[str]]


@dataclass(slots=True)
class Grid:
    """The names of a file's sheets, the one that was read, and its rows that are not empty, with their numbers."""

    sheets: list[str]
    sheet: str
    rows: list[tuple[int, list[str]]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Column:
    """What a column can hold: its key, and the heads it may have in plain words (see `head_name`)."""

    key: str
    heads: tuple[str, ...]
    needed: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """The place of each column (the first is 0), its head, and the number of the head row; 0 where there is none."""

    places: Mapping[str, int]
    heads: Mapping[str, str] = field(default_factory=dict)
    head_row: int = 0

    def to_json(self) -> dict[str, Any]:
        """Return it as the spreadsheet stores it."""
        return asdict(self)


def choice_proposed(
    grid: Sequence[GridRow], columns: Sequence[Column], remembered: Mapping[str, str] | None = None
) -> Choice | None:
    """Return the columns that a head row names: those of the last choice, or the usual ones; None without one."""
    first = list(grid[:HEAD_AMONG])
    if remembered:
        for number, cells in first:
            if again := _again(remembered, cells):
                return Choice(again, remembered, number)
    found = [(_named(cells, columns), number, cells) for number, cells in first]
    whole = [one for one in found if all(column.key in one[0] for column in columns if column.needed)]
    if not whole:
        return None
    places, number, cells = max(whole, key=lambda one: len(one[0]))
    return Choice(places, {key: cells[at][:80] for key, at in places.items()}, number)


def _again(remembered: Mapping[str, str], cells: Sequence[str]) -> dict[str, int] | None:
    names = [head_name(cell) for cell in cells]
    wanted = {key: head_name(head) for key, head in remembered.items()}
    if not all(name and name in names for name in wanted.values()):
        return None
    return {key: names.index(name) for key, name in wanted.items()}


def _named(cells: Sequence[str], columns: Sequence[Column]) -> dict[str, int]:
    """Return the place of each column that a row names; one place is one column's, the first that asks for it."""
    names = [head_name(cell) for cell in cells]
    places: dict[str, int] = {}
    for column in columns:
        free = (names.index(head) for head in column.heads if head in names)
        at = next((at for at in free if at not in places.values()), None)
        if at is not None:
            places[column.key] = at
    return places


def heads_met(cells: Sequence[str], heads: Heads) -> int:
    """Return how many columns a row names; ``heads`` are those each may have."""
    names = {head_name(cell) for cell in cells}
    return sum(not names.isdisjoint(some) for some in heads)


def unread_columns(grid: Sequence[GridRow], choice: Choice) -> list[tuple[int, str]]:
    """Return the place and the head of each column that holds something and is not read."""
    head: Sequence[str] = next((cells for number, cells in grid if number == choice.head_row), ())
    filled = {at for number, cells in grid if number > choice.head_row for at, cell in enumerate(cells) if cell}
    left = sorted(filled - set(choice.places.values()))
    return [(at, head[at][:80] if at < len(head) else "") for at in left]


def lines_below(grid: Sequence[GridRow], choice: Choice) -> list[Line]:
    """Return the rows below the heads by column; heads that are repeated are left out."""
    heads = {key: head_name(head) for key, head in choice.heads.items()}
    lines: list[Line] = []
    for number, cells in grid:
        if number <= choice.head_row:
            continue
        found = {key: cells[at] if at < len(cells) else "" for key, at in choice.places.items()}
        again = bool(heads) and {key: head_name(text) for key, text in found.items()} == heads
        if any(found.values()) and not again:
            lines.append({"row": number, "cells": found})
    return lines
