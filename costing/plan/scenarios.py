"""Reads and checks scenarios: a kitchen, its plan so far, an inquiry, and questions about it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from costing.contract.case_reading import kind_of
from costing.contract.errors import InputErrors, Path
from costing.plan.clocks import Clock, clock_at
from costing.plan.problem import (
    HANDS,
    Batch,
    Component,
    Kitchen,
    Level,
    Making,
    Need,
    Order,
    Problem,
    Resource,
    Size,
    Span,
)
from costing.plan.scenario_batches import BatchReader, ReadBatch
from costing.plan.scenario_checks import check_plan, check_sizes, cycles
from costing.plan.scenario_kitchen import Hours, attended, read_hours, read_resources, read_zone
from costing.plan.scenario_questions import Question, read_questions
from costing.plan.scenario_reading import DAYS, ScenarioReading

INQUIRY = "enquiry"
"""Key and code of the inquiry."""
ENOUGH = 10**9
"""What one batch of a scenario's component gives: it serves everybody who needs it."""

_NEEDED = ("id", "timezone", "now", "hours", "resources", "questions")
_DESCRIBED = ("title", "derivation", "conventions", "note", "source", "reason")
_KEYS = ("grid_minutes", "confirmed", INQUIRY, "closed", *_DESCRIBED)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}(?=T)", re.ASCII)
_DAYS_AFTER = 28
_YEARS = range(1980, 2200)


@dataclass(frozen=True, slots=True)
class Scenario:
    """A scenario as it was read.

    Parameters
    ----------
    id : str
        Its id.
    clock : Clock
        The kitchen's clock.
    problem : Problem
        What is promised, and the inquiry as an order without a window.
    questions : tuple of Question
        What is asked.
    shown : tuple of str
        Codes of the batches, without what only takes places.
    """

    id: str
    clock: Clock
    problem: Problem
    questions: tuple[Question, ...]
    shown: tuple[str, ...]


def read_scenario(document: Any) -> Scenario:
    """Read a scenario.

    Parameters
    ----------
    document : object
        As JSON has it.

    Raises
    ------
    InputErrors
        Everything wrong with it.
    """
    reading = ScenarioReading()
    top = reading.object(document, (), _NEEDED, _KEYS)
    code = reading.text(top, "id", ())
    zone = read_zone(reading, top)
    if zone is None:
        raise InputErrors(reading.errors)
    first, last = _days(top)
    clock = clock_at(zone, first)
    now = reading.moment(top.get("now"), ("now",), clock)
    grid = reading.whole(top, "grid_minutes", (), 1, 60, 5)
    hours = read_hours(reading, top, clock)
    resources = read_resources(reading, top, clock)
    batches = BatchReader(reading, clock, grid, frozenset({HANDS, *(resource.code for resource in resources)}))
    orders = _Orders(batches)
    read = orders.read(top)
    questions = read_questions(reading, top, clock, inquiry=INQUIRY in top)
    if reading.errors:
        raise InputErrors(reading.errors)
    kitchen = _kitchen(clock, hours, resources, now, grid, first, _end(clock, last, read))
    check_sizes(reading, kitchen, read)
    cycles(reading, read)
    problem = Problem(kitchen, *_promised(orders.windows, read))
    if not reading.errors:
        check_plan(reading, problem, clock, {one.code: one.path for one in read})
    if reading.errors:
        raise InputErrors(reading.errors)
    shown = tuple(one.code for one in read if "/uses/" not in one.code)
    return Scenario(code, clock, problem, questions, shown)


def _days(top: Mapping[str, Any]) -> tuple[date, date]:
    """Return the first and the last day that is looked at: what a time of the scenario names, not too far from now."""
    named = [day for text in _texts(top) if (day := _day_of(text))]
    # Where the time of now is wrong, the others are read around one of themselves.
    now = _day_of(str(top.get("now"))) or min(named, default=date(2000, 1, 1))
    days = [day for day in named if abs((day - now).days) <= DAYS]
    return min([now, *days]) - timedelta(days=1), max([now, *days]) + timedelta(days=1)


def _day_of(text: str) -> date | None:
    found = _DATE.match(text)
    try:
        day = date.fromisoformat(found[0]) if found else None
    except ValueError:
        return None
    return day if day is not None and day.year in _YEARS else None


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from _texts(one)


def _end(clock: Clock, last: date, read: list[ReadBatch]) -> int:
    """Return the last minute that is looked at: behind every time named, with room for the inquiry and four weeks."""
    named = clock.minute(f"{last}T12:00")
    work = sum(element.least for one in read if one.order == INQUIRY for element in one.elements)
    return named + min(work, DAYS * 1440) + _DAYS_AFTER * 1440


def _kitchen(
    clock: Clock, hours: Hours, resources: tuple[Resource, ...], now: int, grid: int, first: date, end: int
) -> Kitchen:
    end -= end % grid
    levels = hours.levels(clock, first, end)
    most = max((_most(levels)), default=0)
    hands = Resource(HANDS, most, levels=levels)
    return Kitchen(grid, end, now, (hands, *resources), attended(levels))


def _most(levels: tuple[Level, ...]) -> Iterator[int]:
    for level in levels:
        yield sum(other.amount for other in levels if other.begin <= level.begin < other.end)


@dataclass(slots=True)
class _Orders:
    """Reads the orders, and when each may leave."""

    batches: BatchReader
    windows: dict[str, tuple[Span, ...]]

    def __init__(self, batches: BatchReader) -> None:
        self.batches = batches
        self.windows = {}

    def read(self, top: Mapping[str, Any]) -> list[ReadBatch]:
        reading = self.batches.reading
        found: list[ReadBatch] = []
        for path, value in reading.entries(top, "confirmed", ()):
            found += self._order(value, path)
        if INQUIRY in top:
            owner = reading.object(top[INQUIRY], (INQUIRY,), ("batches",), ("id", "name", "title", "note"))
            found += self.batches.batches(owner, (INQUIRY,), INQUIRY, fixed=False)
            if not any(one.order == INQUIRY for one in found) and owner.get("batches") == []:
                reading.note("schema", (INQUIRY, "batches"), "There are no batches. Give at least one.")
        self._refuse_twins(found)
        return found

    def _order(self, value: Any, path: Path) -> list[ReadBatch]:
        reading = self.batches.reading
        keys = ("fixed", "uses", "window", "windows", "batches", "name", "title", "note")
        owner = reading.object(value, path, ("id",), keys)
        code = reading.text(owner, "id", path)
        if not code:
            return []
        if code in self.windows or code == INQUIRY:
            reading.note("duplicate_id", (*path, "id"), f"The id “{code}” stands twice. Give one another id.")
            return []
        fixed = reading.flag(owner, "fixed", path)
        found = self.batches.batches(owner, path, code, fixed=fixed)
        self.windows[code] = self._windows(owner, path, found)
        if fixed and any(one.planned is None for one in found):
            reading.note("schema", path, "What is fixed has to be planned. Give each of its batches a plan.")
        return [*found, *self.batches.fixed_uses(owner, path, code)]

    def _windows(self, owner: Mapping[str, Any], path: Path, found: list[ReadBatch]) -> tuple[Span, ...]:
        reading, clock = self.batches.reading, self.batches.clock
        if "windows" in owner:
            return tuple(reading.window(one, place, clock) for place, one in reading.entries(owner, "windows", path))
        if "window" in owner:
            return (reading.window(owner["window"], (*path, "window"), clock),)
        ends = {one.planned[-1] for one in found if one.planned is not None}
        if found and not ends:
            reading.note("schema", path, "“window” is missing. Add it.")
        return tuple((end, end) for end in sorted(ends)) if len(ends) == 1 else ((0, 0),)

    def _refuse_twins(self, found: list[ReadBatch]) -> None:
        places: dict[str, Path] = {}
        for one in found:
            if one.id and places.setdefault(one.id, one.path) != one.path:
                message = f"The id “{one.id}” stands twice among the batches. Give one another id."
                self.batches.reading.note("duplicate_id", (*one.path, "id"), message)
        for one in found:
            for at, (batch, _) in enumerate(one.needs):
                if batch not in places:
                    message = f"No batch has the id “{batch}”. Correct it, or give a batch this id."
                    self.batches.reading.note("schema", (*one.path, "needs", at, "batch"), message)


def _promised(
    windows: Mapping[str, tuple[Span, ...]], read: list[ReadBatch]
) -> tuple[tuple[Order, ...], tuple[Component, ...]]:
    """Return orders and components: what another batch needs is a component, whatever order it stands in."""
    named: dict[str, list[str]] = {}
    for one in read:
        if one.id:
            named.setdefault(one.id, []).append(one.code)
    taken = {code for one in read for batch, _ in one.needs for code in named[batch]}
    orders: dict[str, list[Batch]] = {}
    components = []
    for one in read:
        needs = tuple(Need(at, code) for batch, at in one.needs for code in named[batch])
        making = Making(one.elements, needs, one.shelf_life)
        if one.code in taken:
            components.append(Component(one.code, (Size(ENOUGH, making),), True, one.planned, one.fixed))
        elif "/uses/" in one.code:
            orders[one.code] = [Batch(one.code, making, one.planned, one.fixed)]
        else:
            orders.setdefault(one.order, []).append(Batch(one.code, making, one.planned, one.fixed))
    found = []
    for code, batches in orders.items():
        planned = batches[0].planned
        own = ((planned[-1], planned[-1]),) if "/uses/" in code and planned else windows.get(code, ())
        found.append(Order(code, own, tuple(batches)))
    return tuple(found), tuple(components)


def documents_of(document: Any) -> list[tuple[Path, Any]]:
    """Return the scenarios of a file, each with its place.

    Parameters
    ----------
    document : object
        One scenario, or an object with a list of `scenarios`.

    Raises
    ------
    InputErrors
        When the list is none.
    """
    if not isinstance(document, dict) or "scenarios" not in document:
        return [((), document)]
    reading = ScenarioReading()
    reading.object(document, (), ("scenarios",), _DESCRIBED)
    found = list(reading.entries(document, "scenarios", ()))
    ids: set[str] = set()
    for path, one in found:
        name = one.get("id") if isinstance(one, dict) else kind_of(one)
        if isinstance(one, dict) and isinstance(name, str) and name in ids:
            reading.note("duplicate_id", (*path, "id"), f"The id “{name}” stands twice. Give one another id.")
        ids.add(str(name))
    if reading.errors:
        raise InputErrors(reading.errors)
    return found
