"""Values of cells that several kinds share; what is wrong goes into the plan."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from catalog.records.numbers import number_read
from catalog.spreadsheets.columns import Line
from catalog.spreadsheets.plan import Plan
from costing.measures.figures import NumberFormat, TwoReadings

_YES: Final = frozenset({"yes", "y", "x", "true", "1", "ja"})
_NO: Final = frozenset({"no", "n", "false", "0", "nein", "none"})


class Cells:
    """The cells of one row; reading one notes its problem. None stands for an empty or a wrong cell."""

    def __init__(self, plan: Plan, line: Line, *, written: NumberFormat) -> None:
        self.plan, self.row, self.cells, self.written = plan, line["row"], line["cells"], written

    def text(self, key: str, *, most: int = 10_000) -> str | None:
        """Return a text."""
        text = self.cells.get(key, "").strip()
        if len(text) > most:
            self.plan.problem(self.row, key, "too_long", most=most)
            return None
        return text or None

    def number(self, key: str) -> Decimal | None:
        """Return a number above zero."""
        return self._number(key, "not_above_zero", lambda number: number > 0)

    def share(self, key: str) -> Decimal | None:
        """Return a percentage above 0 and up to 100 as a share."""
        number = self._number(key, "not_a_share", lambda number: 0 < number <= 100)
        return None if number is None else number / 100

    def _number(self, key: str, code: str, fits: Any) -> Decimal | None:
        number = self.figure(key, code)
        if number is not None and not fits(number):
            self.plan.problem(self.row, key, code)
            return None
        return number

    def figure(self, key: str, code: str, **params: int) -> Decimal | None:
        """Return a number; what is no number is noted under ``code``."""
        text = self.cells.get(key, "")
        try:
            number = number_read(text, written=self.written) if text else None
        except TwoReadings as two:
            self.plan.problem(self.row, key, "two_readings", **two.params)
            return None
        if text and number is None:
            self.plan.problem(self.row, key, code, **params)
        return number

    def whole(self, key: str, *, most: int) -> int | None:
        """Return a whole number from 1 on."""
        number = self.figure(key, "not_whole", most=most)
        if number is None:
            return None
        if number != int(number) or not 1 <= number <= most:
            self.plan.problem(self.row, key, "not_whole", most=most)
            return None
        return int(number)

    def yes(self, key: str) -> bool | None:
        """Return yes or no."""
        text = self.cells.get(key, "").casefold()
        if text and text not in _YES | _NO:
            self.plan.problem(self.row, key, "yes_or_no")
        return text in _YES if text in _YES | _NO else None


def named_below(lines: list[Line], key: str, *more: str) -> list[Line]:
    """Return lines that each have the name that stands above them (and ``more``), where their own cell is empty."""
    held: list[Line] = []
    current: dict[str, str] = {}
    for line in lines:
        cells = line["cells"]
        if cells.get(key):
            current = {one: cells[one] for one in (key, *more) if one in cells}
        held.append({**line, "cells": {**cells, **current}})
    return held


def changes(columns: Mapping[str, Any], stored: object) -> dict[str, Any]:
    """Return the columns that say something else than a stored record; an empty cell (None) changes nothing."""
    return {name: value for name, value in columns.items() if value is not None and getattr(stored, name) != value}


def first_values(rows: Iterable[Mapping[str, Any]], keys: Sequence[str]) -> dict[str, Any]:
    """Return what the rows of one record say: of each column the first that is not empty."""
    found: dict[str, Any] = dict.fromkeys(keys)
    for row in rows:
        for key in keys:
            found[key] = row[key] if found[key] is None else found[key]
    return found


def as_text(value: Any) -> Any:
    """Return a column's value as JSON keeps it: decimals as text."""
    return str(value) if isinstance(value, Decimal) else value
