"""Reads the batches of a scenario: steps, needs, shelf life, where they are in the plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from costing.contract.case_reading import kind_of
from costing.contract.errors import Path
from costing.plan.clocks import Clock
from costing.plan.problem import Element, ShelfLife, Use
from costing.plan.scenario_reading import LONGEST, ScenarioReading

_DESCRIBED = ("name", "title", "note", "product", "pieces")
_COPIES = 500
_END_OF = "end of "


@dataclass(frozen=True, slots=True)
class ReadBatch:
    """A batch as the scenario says it.

    Parameters
    ----------
    code : str
        Its name: its id, or its place; with a number where there are several.
    id : str
        Its id; empty where it has none.
    order : str
        Whose it is.
    elements : tuple of Element
        Its steps.
    needs : tuple of (str, int)
        Id of another batch, and the position of the step that takes it.
    shelf_life : ShelfLife or None
        How long it may be kept.
    planned : tuple of int or None
        Its boundaries [min].
    fixed : bool
        Whether it stays there.
    path : tuple of str or int
        Its place.
    """

    code: str
    id: str
    order: str
    elements: tuple[Element, ...]
    needs: tuple[tuple[str, int], ...]
    shelf_life: ShelfLife | None
    planned: tuple[int, ...] | None
    fixed: bool
    path: Path


@dataclass(frozen=True, slots=True)
class BatchReader:
    """Reads batches.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    clock : Clock
        The kitchen's clock.
    grid : int
        Minutes of a slot.
    known : frozenset of str
        Codes of the resources.
    """

    reading: ScenarioReading
    clock: Clock
    grid: int
    known: frozenset[str]

    def batches(self, owner: Mapping[str, Any], path: Path, order: str, *, fixed: bool) -> list[ReadBatch]:
        """Read the batches of an order.

        Parameters
        ----------
        owner : mapping of str to object
            The order.
        path : tuple of str or int
            Its place.
        order : str
            Its code.
        fixed : bool
            Whether it stays where it is planned.
        """
        found = []
        for number, (place, value) in enumerate(self.reading.entries(owner, "batches", path)):
            found += self._batch(value, place, order, number, fixed=fixed)
        return found

    def _batch(self, value: Any, path: Path, order: str, number: int, *, fixed: bool) -> list[ReadBatch]:
        reading = self.reading
        more = ("id", "count", "needs", "shelf_life_minutes", "shelf_life_from", "plan", *_DESCRIBED)
        owner = reading.object(value, path, ("steps",), more)
        code = reading.text(owner, "id", path)
        elements = tuple(self._element(one, place) for place, one in reading.entries(owner, "steps", path))
        if not elements:
            if isinstance(owner.get("steps", 0), list):
                reading.note("schema", (*path, "steps"), "There are no steps. Give at least one.")
            return []
        count = reading.whole(owner, "count", path, 1, _COPIES, 1)
        plans = self._plans(owner, path, count, len(elements))
        needs = tuple(self._needs(owner, path, elements))
        life = self._shelf_life(owner, path, elements)
        base = code or f"{order}/{number}"
        return [
            ReadBatch(
                f"{base}#{copy + 1}" if count > 1 else base,
                code,
                order,
                elements,
                needs,
                life,
                plans[copy] if plans else None,
                fixed,
                path,
            )
            for copy in range(count)
        ]

    def _element(self, value: Any, path: Path) -> Element:
        reading = self.reading
        owner = reading.object(value, path, ("name", "min"), ("max", "uses", "temp", "attended_start", "note"))
        errors = len(reading.errors)
        least = reading.whole(owner, "min", path, 0, LONGEST)
        longest = reading.whole(owner, "max", path, 0, LONGEST, least)
        if longest < least and len(reading.errors) == errors:
            message = f"This step lasts at least {least} and at most {longest} minutes. Exchange them."
            reading.note("bad_span", path, message)
        if longest == least:
            longest = -(-least // self.grid) * self.grid
        attended = reading.flag(owner, "attended_start", path) if "attended_start" in owner else True
        uses = tuple(self._uses(owner, path))
        return Element(
            reading.text(owner, "name", path), least, longest, uses, self._temperature(owner, path), attended
        )

    def _uses(self, owner: Mapping[str, Any], path: Path) -> list[Use]:
        if "uses" not in owner:
            return []
        value = owner["uses"]
        if not isinstance(value, dict):
            self.reading.note("schema", (*path, "uses"), f"“uses” is {kind_of(value)}. Give an object.")
            return []
        found = []
        for code in value:
            amount = self.reading.whole(value, code, (*path, "uses"))
            if self.is_known(code, (*path, "uses", code)) and amount:
                found.append(Use(code, amount))
        return found

    def is_known(self, code: str, path: Path) -> bool:
        """Return whether there is a resource; record the error when there is not.

        Parameters
        ----------
        code : str
            Its name.
        path : tuple of str or int
            Where it stands.
        """
        if code in self.known:
            return True
        choices = ", ".join(sorted(self.known))
        self.reading.note("unknown_resource", path, f"There is no resource “{code}”. Known are {choices}.")
        return False

    def _temperature(self, owner: Mapping[str, Any], path: Path) -> float | None:
        value = owner.get("temp")
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e5:
            self.reading.note("schema", (*path, "temp"), "The temperature is no number. Give degrees, such as 170.")
            return None
        return float(value)

    def _needs(self, owner: Mapping[str, Any], path: Path, elements: tuple[Element, ...]) -> list[tuple[str, int]]:
        found = []
        for place, value in self.reading.entries(owner, "needs", path):
            entry = self.reading.object(value, place, ("batch", "step"), ("note",))
            batch = self.reading.text(entry, "batch", place)
            at = self._step_at(entry.get("step"), elements) if "step" in entry else None
            if "step" in entry and at is None:
                names = ", ".join(element.name for element in elements)
                message = f"This batch has no such step. Give one of its steps: {names}."
                self.reading.note("schema", (*place, "step"), message)
            if batch and at is not None:
                found.append((batch, at))
        return found

    @staticmethod
    def _step_at(value: Any, elements: tuple[Element, ...]) -> int | None:
        if isinstance(value, str):
            return next((at for at, element in enumerate(elements) if element.name == value), None)
        whole = isinstance(value, int) and not isinstance(value, bool)
        return value if whole and 0 <= value < len(elements) else None

    def _shelf_life(self, owner: Mapping[str, Any], path: Path, elements: tuple[Element, ...]) -> ShelfLife | None:
        if "shelf_life_minutes" not in owner:
            if "shelf_life_from" in owner:
                self.reading.note("schema", path, "“shelf_life_minutes” is missing. Add it.")
            return None
        minutes = self.reading.whole(owner, "shelf_life_minutes", path, 0, LONGEST)
        start = owner.get("shelf_life_from", 0)
        if isinstance(start, str):
            start = start.removeprefix(_END_OF)
        at = self._step_at(start, elements)
        if "shelf_life_from" not in owner or at is None:
            place = (*path, "shelf_life_from") if "shelf_life_from" in owner else path
            message = f"The shelf life begins at no step. Give “{_END_OF}” and the name of one of its steps."
            self.reading.note("schema", place, message)
            return None
        return ShelfLife(at, minutes)

    def _plans(
        self, owner: Mapping[str, Any], path: Path, count: int, steps: int
    ) -> tuple[tuple[int, ...], ...] | None:
        value = owner.get("plan")
        if value is None:
            return None
        several = isinstance(value, list) and bool(value) and isinstance(value[0], list)
        lists = value if several else [value]
        if several and len(lists) != count:
            message = f"There are {len(lists)} plans for {count} batches. Give one for each."
            self.reading.note("schema", (*path, "plan"), message)
            return None
        found = []
        for at, one in enumerate(lists):
            place = (*path, "plan", at) if several else (*path, "plan")
            plan = self._plan(one, place, steps)
            if plan is None:
                return None
            found.append(plan)
        return tuple(found) if several else tuple(found * count)

    def _plan(self, value: Any, path: Path, steps: int) -> tuple[int, ...] | None:
        if not isinstance(value, list) or len(value) != steps + 1:
            message = f"A plan has the begin of each step and the end of the last: {steps + 1} times. Give these."
            self.reading.note("schema", path, message)
            return None
        errors = len(self.reading.errors)
        times = tuple(self.reading.moment(one, (*path, at), self.clock) for at, one in enumerate(value))
        if len(self.reading.errors) > errors:
            return None
        if list(times) != sorted(times):
            self.reading.note("bad_span", path, "A step of this plan ends before it begins. Put the times in order.")
            return None
        return times

    def fixed_uses(self, owner: Mapping[str, Any], path: Path, order: str) -> list[ReadBatch]:
        """Read what is taken whatever is planned, each as a batch of one step.

        Parameters
        ----------
        owner : mapping of str to object
            The order.
        path : tuple of str or int
            Its place.
        order : str
            Its code.
        """
        found = []
        for number, (place, value) in enumerate(self.reading.entries(owner, "uses", path)):
            entry = self.reading.object(value, place, ("resource", "amount", "from", "to"), ("temp", "note"))
            code = self.reading.text(entry, "resource", place)
            known = bool(code) and self.is_known(code, (*place, "resource"))
            amount = self.reading.whole(entry, "amount", place)
            span = self.reading.span(entry, place, self.clock)
            if not known or not amount or span is None:
                continue
            length = span[1] - span[0]
            step = Element("", length, length, (Use(code, amount),), self._temperature(entry, place), attended=False)
            name = f"{order}/uses/{number}"
            found.append(ReadBatch(name, "", order, (step,), (), None, span, True, place))
        return found
