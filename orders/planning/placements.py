"""A plan as it is stored, by quotes and moments, and read again into the problem of some days.

A problem calls an order by its number and counts minutes from its first day; a quote that becomes an order, and a plan
that is read on another day, are the same: so a load is stored by its quote, and times are minutes since 1970, UTC.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from costing.plan.fast_checking import FastChecker
from costing.plan.problem import Component, Making, Order, Placed, Plan, Problem, Taking
from orders.planning.plans import NOTHING
from orders.planning.problem import KitchenProblem

#: A load or a component's batch: ``of`` the key of its quote (0 of a component), ``batch`` the rest of its name,
#: ``at`` begin of each step and end of the last [min], ``in`` which of the alike, and what is made of a component.
Fact = dict[str, Any]

#: What an order takes of a load that may serve several is there for no time: when it leaves.
_BOUNDARIES = 2


@dataclass(frozen=True, slots=True)
class Placements:
    """How a problem's names and minutes are stored: the code of an order by its quote, and where its minutes begin."""

    codes: Mapping[int, str]
    origin: int

    def written(self, plan: Plan, problem: Problem) -> list[Fact]:
        """Return a plan as it is stored."""
        names = self._names(problem)
        most = {one.code: [size.most for size in one.sizes] for one in problem.components}
        return [
            {
                **_named(names.get(place.code, (0, place.code))),
                "at": [minute + self.origin for minute in place.boundaries],
                "in": [list(units) for units in place.units],
                **(
                    {"component": place.component, "most": most[place.component][place.size]} if place.component else {}
                ),
                **({"for": [_taken(one, names) for one in place.takings]} if place.takings else {}),
            }
            for place in plan.placed
        ]

    def names(self, problem: Problem, batches: Iterable[str]) -> list[list[Any]]:
        """Return the names of loads as they are stored."""
        names = self._names(problem)
        return [list(names[code]) for code in batches if code in names]

    def _names(self, problem: Problem) -> dict[str, tuple[int, str]]:
        quotes = {code: quote for quote, code in self.codes.items()}
        return {
            batch.code: (quotes[order.code], batch.code[len(order.code) :])
            for order in problem.orders
            if order.code in quotes
            for batch in order.batches
        }

    def code(self, of: int, batch: str) -> str | None:
        """Return what the problem calls a stored load; None for what it does not have."""
        if not of:
            return batch
        return None if of not in self.codes else self.codes[of] + batch

    def read(self, stored: Sequence[Fact], problem: Problem) -> Plan:
        """Return what a stored plan says of a problem's orders: of those with all their loads, and what these take.

        It may break a rule by the catalog of today: :func:`sound` tells.
        """
        places: dict[str, Placed] = {}
        sizes = {one.code: [size.most for size in one.sizes] for one in problem.components}
        for one in self._with_shared_loads(stored, problem):
            code = self.code(one["of"], one["batch"])
            if code is not None:
                boundaries = tuple(minute - self.origin for minute in one["at"])
                units, component = tuple(tuple(units) for units in one["in"]), one.get("component", "")
                takings = tuple(self._takings(one.get("for", ())))
                size = _size(one, sizes.get(component, ()))
                if size is not None:
                    places[code] = Placed(code, boundaries, units, component, size, takings)
        return _whole(places, problem)

    def _with_shared_loads(self, stored: Sequence[Fact], problem: Problem) -> Iterator[Fact]:
        """Yield what is stored; a load of one order as what it takes of a load where that may serve several by now."""
        shared = {one.code for one in problem.components if one.apart is not None}
        needs = {batch.code: batch.making.needs for order in problem.orders for batch in order.batches}
        number, names = _highest(stored), dict[tuple[int, str], str]()
        for one in stored:
            need = next(iter(needs.get(self.code(one["of"], one["batch"]) or "", ())), None)
            if not one["of"] or need is None or need.component not in shared or len(one["at"]) == _BOUNDARIES:
                continue
            number += 1
            names[one["of"], one["batch"]] = f"{need.component}~{number}"
            made = {
                "component": need.component,
                "most": need.amount,
                "for": [[one["of"], one["batch"], 0, need.amount]],
            }
            yield {**one, "of": 0, "batch": names[one["of"], one["batch"]], **made}
        for one in stored:
            if (one["of"], one["batch"]) in names:
                yield {**_named((one["of"], one["batch"])), "at": [one["at"][-1]] * _BOUNDARIES, "in": [[]]}
                continue
            taken = [
                [0, names[of, batch], *rest] if (of, batch) in names else [of, batch, *rest]
                for of, batch, *rest in one.get("for", ())
            ]
            yield {**one, "for": taken} if taken else one

    def _takings(self, stored: Iterable[Sequence[Any]]) -> Iterator[Taking]:
        for of, batch, need, amount in stored:
            code = self.code(of, batch)
            if code is not None:
                yield Taking(code, need, amount)


def _size(one: Fact, sizes: Sequence[int]) -> int | None:
    """Return the place of a stored batch's size among those of today; None where there is none of it."""
    if "most" not in one:
        return int(one.get("size", 0))
    return sizes.index(one["most"]) if one["most"] in sizes else None


def placements_of(kitchen: KitchenProblem, more: Mapping[int, str]) -> Placements:
    """Return how the problem of some days is stored; ``more`` are codes of quotes that are not promised."""
    codes = {one.quote_id: one.number for one in kitchen.promised}
    return Placements({**codes, **more}, int(kitchen.days.clock.origin.timestamp()) // 60)


def _named(name: tuple[int, str]) -> Fact:
    return {"of": name[0], "batch": name[1]}


def _taken(one: Taking, names: Mapping[str, tuple[int, str]]) -> list[Any]:
    return [*names.get(one.batch, (0, one.batch)), one.need, one.amount]


def sound(plan: Plan, problem: Problem, before: Plan = NOTHING) -> bool:
    """Return whether a plan of some of a problem's orders keeps every rule by what is true now.

    The drive of an order may be missing in it, of which more than the drive is there.
    """
    there = plan.by_code()
    known = (
        (one, tuple(each for each in one.batches if each.code in there or not each.after)) for one in problem.orders
    )
    orders = [replace(one, batches=batches) for one, batches in known if any(batch.code in there for batch in batches)]
    return FastChecker(problem, before).holds(plan, orders)


def sound_part(plan: Plan, problem: Problem, first: Collection[str] = ()) -> Plan:
    """Return what of a plan keeps every rule by what is true now: of as many orders as stand beside each other.

    ``first`` are codes of orders that come before the others: those in production.
    """
    if sound(plan, problem):
        return plan
    there = plan.by_code()
    known = [one.code for one in problem.orders if any(batch.code in there for batch in one.batches)]
    part = _Part({place.code: place for place in plan.placed}, problem)
    return part.plan(part.more([], sorted(known, key=lambda code: code not in first)))


@dataclass(frozen=True, slots=True)
class _Part:
    places: Mapping[str, Placed]
    problem: Problem

    def plan(self, orders: Collection[str]) -> Plan:
        """Return the plan of some orders alone."""
        others = (one for one in self.problem.orders if one.code not in orders)
        gone = {batch.code for one in others for batch in one.batches}
        return _whole({code: place for code, place in self.places.items() if code not in gone}, self.problem)

    def more(self, there: list[str], orders: list[str]) -> list[str]:
        """Return the orders that are there and as many more as stand beside them, looked at by halves."""
        if not orders or sound(self.plan({*there, *orders}), self.problem):
            return [*there, *orders]
        if len(orders) == 1:
            return there
        half = len(orders) // 2
        return self.more(self.more(there, orders[:half]), orders[half:])


def _whole(places: dict[str, Placed], problem: Problem) -> Plan:
    """Leave out orders of which something is missing, or is made otherwise by now, and what nobody takes from."""
    components = {one.code: one for one in problem.components}
    making = {batch.code: batch.making for order in problem.orders for batch in order.batches}
    found: dict[str, Placed] = {}
    for code, place in places.items():
        of = _making(place, making, components)
        if of is not None and _fits(place, of):
            found[code] = place
            making[code] = of
    while True:
        served = {(one.batch, one.need) for place in found.values() for one in place.takings if one.batch in found}
        lost = {code for code in found if any((code, need) not in served for need in range(len(making[code].needs)))}
        lost |= {code for order in problem.orders if not _complete(order, found) for code in _codes(order)}
        lost |= {code for code, place in found.items() if place.component and not _takers(place, found, making)}
        if not lost & found.keys():
            break
        found = {code: place for code, place in found.items() if code not in lost}
    return Plan(tuple(_until_used(place, found, making) for place in found.values()))


def _making(place: Placed, makings: Mapping[str, Making], components: Mapping[str, Component]) -> Making | None:
    if not place.component:
        return makings.get(place.code)
    one = components.get(place.component)
    return one.sizes[place.size].making if one is not None and place.size < len(one.sizes) else None


def _fits(place: Placed, making: Making) -> bool:
    """Return whether it has as many steps as it is made with by now, each with as much to be in."""
    uses = [len(element.uses) for element in making.elements]
    return len(place.boundaries) == len(uses) + 1 and [len(units) for units in place.units] == uses


def _codes(order: Order) -> list[str]:
    return [batch.code for batch in order.batches]


def _complete(order: Order, found: Mapping[str, Placed]) -> bool:
    """Return whether all loads of an order are there, leaving together; its drive may be missing."""
    loads = [batch for batch in order.batches if not batch.after or batch.code in found]
    ends = {found[one.code].boundaries[-1] - one.after if one.code in found else -1 for one in loads}
    return len(ends) == 1 and any(begin <= end <= last for end in ends for begin, last in order.windows)


def _takers(place: Placed, found: Mapping[str, Placed], making: Mapping[str, Making]) -> list[Taking]:
    return [one for one in place.takings if one.batch in found and one.need < len(making[one.batch].needs)]


def _until_used(place: Placed, found: Mapping[str, Placed], making: Mapping[str, Making]) -> Placed:
    """Let a component's last stay end when the last of those that are left takes from it, less where it needs less."""
    if not place.component:
        return place
    takings = _takers(place, found, making)
    needs = [making[one.batch].needs[one.need] for one in takings]
    end = max(found[one.batch].boundaries[need.element] for one, need in zip(takings, needs, strict=True))
    taken = (replace(one, amount=min(one.amount, need.amount)) for one, need in zip(takings, needs, strict=True))
    return replace(place, boundaries=(*place.boundaries[:-1], end), takings=tuple(taken))


def joined(slice_: list[Fact], others: list[Fact]) -> list[Fact]:
    """Return a plan of some days with what is stored of others; a component's batch of each has a name of its own."""
    taken = {one["batch"] for one in others if not one["of"]}
    new, number = {}, _highest([*slice_, *others])
    for one in slice_:
        if not one["of"] and one["batch"] in taken:
            number += 1
            new[one["batch"]] = f"{one['component']}~{number}"
    return [*(_renamed(one, new) for one in slice_), *others]


def _renamed(one: Fact, new: Mapping[str, str]) -> Fact:
    takings = [[of, batch if of else new.get(batch, batch), *rest] for of, batch, *rest in one.get("for", ())]
    renamed = {**one, "batch": one["batch"] if one["of"] else new.get(one["batch"], one["batch"])}
    return {**renamed, "for": takings} if takings else renamed


def _highest(facts: Iterable[Fact]) -> int:
    numbers = (one["batch"].rpartition("~")[2] for one in facts if not one["of"])
    return max((int(number) for number in numbers if number.isdecimal()), default=0)


def of_others(stored: list[Fact], ahead: frozenset[int], here: frozenset[int]) -> list[Fact]:
    """Return what is stored of quotes that are still ``ahead`` and not among those ``here``, with what these take."""
    loads = [one for one in stored if one["of"] in ahead and one["of"] not in here]
    left = {(one["of"], one["batch"]) for one in loads}
    components = [one for one in stored if not one["of"]]
    found: list[Fact] = []
    while True:
        more = [
            {**one, "for": takings}
            for one in components
            if (takings := [taking for taking in one.get("for", ()) if (taking[0], taking[1]) in left])
        ]
        if len(more) == len(found):
            return [*loads, *more]
        found = more
        left |= {(0, one["batch"]) for one in found}
