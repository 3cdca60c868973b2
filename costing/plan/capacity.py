"""What is free when: one row of slots for each resource (or for each of its alike), changed and changed back."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from costing.plan.bit_sets import Runs, of_array, span
from costing.plan.problem import HANDS, Kitchen, Level, Resource

Row = npt.NDArray[np.int32]
Claim = tuple[int, int, float]
"""Row, places, and temperature; the temperature is `COOL` where it does not matter, and `AWAY` for what counts only
while there is any of it."""
COOL, AWAY = -1e6, -2e6


class Capacity:
    """Free places in each slot.

    Parameters
    ----------
    kitchen : Kitchen
        What there is.

    Attributes
    ----------
    rows, names, tolerances, versions, heats
        For each row: free places, its resource, its tolerance, a number that grows with every change, and what is
        taken at each temperature.
    units
        The rows of each resource.
    open
        In which slots hands are there at all.
    there
        For each row, in which slots there is any of it for a part of the slot at least, taken or not.
    attended
        The set of slots at whose begin somebody is there.
    """

    def __init__(self, kitchen: Kitchen) -> None:
        self.grid = kitchen.grid
        self.slots = kitchen.end // kitchen.grid
        self.everything = span(0, self.slots + 1)
        self.rows: list[Row] = []
        self.units: dict[str, tuple[int, ...]] = {}
        self.names: list[str] = []
        self.tolerances: list[float | None] = []
        self.versions: list[int] = []
        self.heats: list[dict[float, Row]] = []
        self.there: list[npt.NDArray[np.bool_]] = []
        self._cache: list[dict[tuple[int, float], Runs]] = []
        self._changes: list[tuple[int, int, int, int, float]] = []
        for resource in kitchen.resources:
            self._add(resource)
        hands = self.units.get(HANDS)
        self.open: npt.NDArray[np.bool_] = self.rows[hands[0]] > 0 if hands else np.ones(self.slots, bool)
        self.attended = 0
        for begin, end in kitchen.attended:
            self.attended |= span(-(-begin // self.grid), end // self.grid + 1)
        self.attended &= self.everything

    def _add(self, resource: Resource) -> None:
        count = resource.count if resource.divided else 1
        first = len(self.rows)
        for unit in range(count):
            self.rows.append(level_row(resource, unit, self.grid, self.slots))
            self.there.append(there_row(resource, self.grid, self.slots))
            self.names.append(resource.code)
            self.tolerances.append(resource.tolerance)
            self.versions.append(0)
            self.heats.append({})
            self._cache.append({})
        self.units[resource.code] = tuple(range(first, first + count))

    def runs(self, row: int, amount: int, temperature: float) -> Runs:
        """Return the slots in which so much of a row is free at a temperature.

        Parameters
        ----------
        row : int
            Position of the row.
        amount : int
            Places.
        temperature : float
            [°C], or `COOL`.
        """
        cache = self._cache[row]
        key = (amount, temperature)
        found = cache.get(key)
        if found is None:
            able = self.rows[row] >= amount
            if temperature == AWAY:
                able |= ~self.there[row]
            tolerance = self.tolerances[row]
            if tolerance is not None and temperature != COOL:
                for other, times in self.heats[row].items():
                    if abs(other - temperature) > tolerance:
                        able &= times == 0
            found = cache[key] = Runs(of_array(able))
        return found

    def take(self, row: int, begin: int, end: int, amount: int, temperature: float) -> None:
        """Take places for a time.

        Parameters
        ----------
        row : int
            Position of the row.
        begin : int
            First slot.
        end : int
            The slot behind the last.
        amount : int
            Places; below 0 gives them back.
        temperature : float
            [°C], or `COOL`.
        """
        if end <= begin:
            return
        self._change(row, begin, end, amount, temperature)
        self._changes.append((row, begin, end, amount, temperature))

    def _change(self, row: int, begin: int, end: int, amount: int, temperature: float) -> None:
        self.rows[row][begin:end] -= amount
        if temperature != COOL and self.tolerances[row] is not None:
            heats = self.heats[row]
            if temperature not in heats:
                heats[temperature] = np.zeros(self.slots, np.int32)
            heats[temperature][begin:end] += amount
        if self._cache[row]:
            self._cache[row] = {}
        self.versions[row] += 1

    def mark(self) -> int:
        """Return a mark of what was taken so far, for `back_to`."""
        return len(self._changes)

    def settle(self) -> None:
        """Let everything taken so far stand: it cannot be undone any more."""
        self._changes.clear()

    def back_to(self, mark: int) -> None:
        """Undo everything since a mark.

        Parameters
        ----------
        mark : int
            What `mark` returned.
        """
        while len(self._changes) > mark:
            row, begin, end, amount, temperature = self._changes.pop()
            self._change(row, begin, end, -amount, temperature)


def level_row(resource: Resource, unit: int, grid: int, slots: int) -> Row:
    """Return what there is of a resource in each slot; a slot counts only where it is there throughout.

    Parameters
    ----------
    resource : Resource
        The resource.
    unit : int
        Which of the alike, where they are divided; the last ones are out of order first.
    grid : int
        Minutes of a slot.
    slots : int
        How many slots.
    """
    alike = resource.count if resource.divided else 1
    if resource.levels is None:
        row = np.full(slots, resource.places * resource.count // alike, np.int32)
    else:
        row = np.zeros(slots, np.int32)
        for level in resource.levels:
            _add_level(row, level, grid)
    gone = np.zeros(slots, np.int32)
    for level in resource.out:
        gone[max(0, level.begin // grid) : max(0, -(-level.end // grid))] += level.amount
    if resource.divided:
        row[gone >= resource.count - unit] = 0
    else:
        row -= resource.places * gone
    np.maximum(row, 0, out=row)
    return row


def there_row(resource: Resource, grid: int, slots: int) -> npt.NDArray[np.bool_]:
    """Return in which slots there is any of a resource by its calendar, for a part of the slot at least.

    Parameters
    ----------
    resource : Resource
        The resource.
    grid : int
        Minutes of a slot.
    slots : int
        How many slots.
    """
    there = np.full(slots, resource.levels is None)
    for level in resource.levels or ():
        if level.amount > 0:
            there[max(0, level.begin // grid) : max(0, -(-level.end // grid))] = True
    return there


def _add_level(row: Row, level: Level, grid: int) -> None:
    begin, end = max(0, -(-level.begin // grid)), max(0, level.end // grid)
    row[begin:end] += level.amount
