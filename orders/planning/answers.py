"""An answer about a window as it is stored, and read again."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from costing.plan.book_kitchen import states_people
from costing.plan.deriving import Trip
from costing.plan.explaining import Reason
from costing.plan.problem import HANDS
from costing.plan.proofs import SureUse
from costing.plan.verdicts import UNDECIDED
from orders.planning.plans import DaysPlan, Over
from orders.planning.problem import KitchenProblem
from orders.planning.promise import Leaving, Promise
from orders.planning.usual import ORDERED, Asked

NO_VEHICLE: Final = "no_vehicle"
NO_WAY: Final = "no_way"
NOTHING: Final = Asked()
#: So many causes are named of what has no place itself.
MOST_NAMED: Final = 3


@dataclass(frozen=True, slots=True)
class InTheWay:
    """What is in the way: a resource, hours or that it is too late, with the step it stops and when.

    ``needed`` and ``free`` are places, pieces or hands; of a sum of sure use all that is needed and there is in these
    hours together, and ``step`` is empty.
    """

    cause: str
    step: str
    begin: datetime
    end: datetime
    needed: int
    free: int


@dataclass(frozen=True, slots=True)
class WindowAnswered:
    """The verdict; how many other orders were counted; those that have no place themselves; what was not counted.

    ``unstated`` is as in :class:`Promise`; ``assumed`` names the defaults that counted: `NO_VEHICLE`, `NO_WAY`;
    ``usual`` are code and units of what counted where nothing is chosen yet, ``usual_by`` what they rest on. ``near``
    are times of leaving around the one asked for that work as it is planned now, in the order to offer them.
    """

    verdict: str
    in_the_way: tuple[InTheWay, ...] = ()
    instead: tuple[Leaving, ...] = ()
    orders: int = 0
    over: tuple[str, ...] = ()
    uncounted: tuple[str, ...] = ()
    unstated: bool = False
    assumed: tuple[str, ...] = ()
    usual: tuple[tuple[str, int], ...] = ()
    near: tuple[Leaving, ...] = ()
    usual_by: str = ORDERED

    def written(self) -> dict[str, Any]:
        """Return it as it is stored."""
        return {
            "verdict": self.verdict,
            "in_the_way": [
                [one.cause, one.step, one.begin.isoformat(), one.end.isoformat(), one.needed, one.free]
                for one in self.in_the_way
            ],
            "instead": [[moment.isoformat() for moment in window] for window in self.instead],
            "near": [[moment.isoformat() for moment in window] for window in self.near],
            "orders": self.orders,
            "over": list(self.over),
            "uncounted": list(self.uncounted),
            "unstated": self.unstated,
            "assumed": list(self.assumed),
            "usual": [list(one) for one in self.usual],
            "usual_by": self.usual_by,
        }


def answered(
    found: Promise, plan: DaysPlan, trip: Trip | None = None, asked: Asked = NOTHING, *, behind: Sequence[Over] = ()
) -> WindowAnswered:
    """Return what is stored of a verdict about what is ``asked`` for, and ``trip`` takes away.

    ``behind`` is what of the promised has no place itself, and a yes waits for it: that is not decided then, and what
    is in the way is what is in the way of these.
    """
    kitchen = plan.kitchen
    reasons = tuple(_reason(one, kitchen) for one in found.reasons)
    if found.sure_use is not None:
        reasons = (_sure(found.sure_use, kitchen),)
    if behind:
        reasons = tuple(dict.fromkeys(each for one in behind for each in _of_over(one, kitchen)))[:MOST_NAMED]
    over = tuple(dict.fromkeys(one.order for one in plan.over))
    people = () if states_people(kitchen.book) else (HANDS,)
    uncounted = (*people, *(str(one) for one in kitchen.book.stations if one.places is None))
    verdict = UNDECIDED if behind else found.verdict
    assumed, usual = tuple(_assumed(kitchen, trip)), tuple(asked.units.items()) if asked.usual else ()
    return WindowAnswered(
        verdict,
        reasons,
        found.instead,
        len(kitchen.promised),
        over,
        uncounted,
        found.unstated,
        assumed,
        usual,
        usual_by=asked.usual,
    )


def _assumed(kitchen: KitchenProblem, trip: Trip | None) -> Iterator[str]:
    """Yield what counted by default because nobody stated it: one vehicle, the time a drive takes."""
    trips = [one for one in (trip, *(one.trip for one in kitchen.promised)) if one is not None]
    if kitchen.stated:
        return
    if trips and not kitchen.book.vehicles:
        yield NO_VEHICLE
    if trip is not None and trip.unstated:
        yield NO_WAY


def _of_over(one: Over, kitchen: KitchenProblem) -> Iterator[InTheWay]:
    """Yield what is in the way of a load that has no place."""
    if one.sure_use is not None:
        yield _sure(one.sure_use, kitchen)
    else:
        yield from (_reason(each, kitchen) for each in one.reasons)


def _reason(one: Reason, kitchen: KitchenProblem) -> InTheWay:
    begin, end = kitchen.moment(one.begin), kitchen.moment(one.end)
    return InTheWay(one.cause, one.step, begin, end, one.needed, one.free)


def _sure(one: SureUse, kitchen: KitchenProblem) -> InTheWay:
    begin, end = kitchen.moment(one.begin), kitchen.moment(one.end)
    return InTheWay(one.resource, "", begin, end, one.needed, one.available)


def read(stored: Mapping[str, Any]) -> WindowAnswered:
    """Return a stored answer."""
    ways: Sequence[Sequence[Any]] = stored["in_the_way"]
    moment = datetime.fromisoformat
    return WindowAnswered(
        stored["verdict"],
        tuple(InTheWay(way[0], way[1], moment(way[2]), moment(way[3]), way[4], way[5]) for way in ways),
        tuple((moment(begin), moment(end)) for begin, end in stored["instead"]),
        stored["orders"],
        tuple(stored["over"]),
        tuple(stored["uncounted"]),
        stored.get("unstated", False),
        tuple(stored.get("assumed", ())),
        tuple((code, units) for code, units in stored.get("usual", ())),
        tuple((moment(begin), moment(end)) for begin, end in stored.get("near", ())),
        stored.get("usual_by", ORDERED),
    )
