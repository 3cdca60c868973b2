"""In which of alike resources each step is, where a plan says only when: tried one after another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from costing.plan.problem import Element, Kitchen, Placed, Resource

_TRIES = 20_000


@dataclass(frozen=True, slots=True)
class _Stay:
    place: int
    step: int
    use: int
    amount: int
    temperature: float | None
    begin: int
    end: int
    among: int


def with_units(kitchen: Kitchen, places: Sequence[Placed], elements: Mapping[str, tuple[Element, ...]]) -> list[Placed]:
    """Return placed batches with the choice among alike resources made, as far as it can be.

    Parameters
    ----------
    kitchen : Kitchen
        What there is.
    places : sequence of Placed
        Batches with boundaries; their units are not looked at.
    elements : mapping of str to tuple of Element
        Steps of each batch.
    """
    chosen = [[[0] * len(element.uses) for element in elements[place.code]] for place in places]
    for resource in kitchen.resources:
        if not resource.divided or resource.count < 2:
            continue
        stays = _stays(resource, places, elements)
        for stay, unit in zip(stays, _assigned(resource, stays), strict=True):
            chosen[stay.place][stay.step][stay.use] = unit
    return [
        replace(place, units=tuple(tuple(step) for step in steps)) for place, steps in zip(places, chosen, strict=True)
    ]


def _stays(resource: Resource, places: Sequence[Placed], elements: Mapping[str, tuple[Element, ...]]) -> list[_Stay]:
    found = [
        _Stay(number, step, at, use.amount, element.temperature, begin, end, use.among)
        for number, place in enumerate(places)
        for step, (element, (begin, end)) in enumerate(
            zip(elements[place.code], pairwise(place.boundaries), strict=True)
        )
        for at, use in enumerate(element.uses)
        if use.resource == resource.code and end > begin
    ]
    return sorted(found, key=lambda stay: (stay.begin, -stay.end, stay.place, stay.step))


def _assigned(resource: Resource, stays: list[_Stay]) -> list[int]:
    """Return a unit for each stay: the first assignment in which all fit, or the first choice of each."""
    units: list[int] = []
    tries, unit = _TRIES, 0
    while len(units) < len(stays) and tries:
        tries -= 1
        while unit < resource.count and not _fits(resource, stays, units, unit):
            unit += 1
        if unit < resource.count:
            units.append(unit)
            unit = 0
        elif units:
            unit = units.pop() + 1
        else:
            break
    return [*units, *(0 for _ in stays[len(units) :])]


def _fits(resource: Resource, stays: list[_Stay], units: list[int], unit: int) -> bool:
    mine = stays[len(units)]
    if unit < mine.among:
        return False
    out = [level for level in resource.out if level.begin < mine.end and mine.begin < level.end]
    for level in out:
        gone = sum(one.amount for one in out if one.begin <= max(level.begin, mine.begin) < one.end)
        if unit >= resource.count - gone:
            return False
    here = [
        other
        for other, where in zip(stays, units, strict=False)
        if where == unit and other.begin < mine.end and mine.begin < other.end
    ]
    times = [mine.begin, *(other.begin for other in here if other.begin > mine.begin)]
    for time in times:
        if mine.amount + sum(one.amount for one in here if one.begin <= time < one.end) > resource.places:
            return False
    tolerance = resource.tolerance
    return tolerance is None or not any(
        abs((other.temperature or 0) - (mine.temperature or 0)) > tolerance
        for other in here
        if other.temperature is not None and mine.temperature is not None
    )
