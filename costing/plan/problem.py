"""What is to be planned, as plain values: a kitchen, batches of steps in sequence, orders with their windows.

Times are whole minutes since the origin of the problem. The engine works in slots of the grid and rounds on the
safe side: durations and least stays up, most stays, windows and calendars inward, what is there already outward.
Minutes are elapsed time: what clocks show is the business of the reader alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

Span = tuple[int, int]
"""From and to [min], half open."""

HANDS, VEHICLE = "hands", "vehicle"
"""The codes of the people's hands and of a kitchen's own vehicles among the resources."""


@dataclass(frozen=True, slots=True)
class Level:
    """How much there is, or how many are out, for a time.

    Parameters
    ----------
    begin : int
        [min].
    end : int
        [min].
    amount : int
        Places, hands, or how many are out.
    """

    begin: int
    end: int
    amount: int


@dataclass(frozen=True, slots=True)
class Resource:
    """What steps need at the same time: an oven, a cold room, molds, hands, a van.

    Parameters
    ----------
    code : str
        Its name.
    places : int
        Places of one of them.
    count : int
        How many alike.
    divided : bool
        Whether a stay is in exactly one of them, as in an oven; otherwise it may be spread over all.
    tolerance : float or None
        How far temperatures at the same time may lie apart [°C]; None where temperature does not matter.
    levels : tuple of Level or None
        A calendar: what there is in each span, nothing outside; None where all places are always there.
    out : tuple of Level
        When how many of them are out of order.
    """

    code: str
    places: int
    count: int = 1
    divided: bool = False
    tolerance: float | None = None
    levels: tuple[Level, ...] | None = None
    out: tuple[Level, ...] = ()


@dataclass(frozen=True, slots=True)
class Use:
    """How many places of a resource a step takes.

    Parameters
    ----------
    resource : str
        Code of the resource.
    amount : int
        Places, pieces or hands; above 0.
    among : int
        Of alike ones that are divided, the first that will do: with three vans, 2 is the last of them alone.
    while_there : bool
        Whether it counts only while there is any: who drives after closing is missing nowhere.
    """

    resource: str
    amount: int
    among: int = 0
    while_there: bool = False


@dataclass(frozen=True, slots=True)
class Element:
    """A step or a stay: where a batch is from one boundary to the next.

    Parameters
    ----------
    name : str
        What it is called.
    least : int
        [min].
    longest : int
        [min]. Where it cannot be drawn out, `least` rounded up to the grid.
    uses : tuple of Use
        What it takes from its begin to its end.
    temperature : float or None
        Of the resources that have one [°C].
    attended : bool
        Whether somebody has to be there when it begins.
    """

    name: str
    least: int
    longest: int
    uses: tuple[Use, ...] = ()
    temperature: float | None = None
    attended: bool = True


@dataclass(frozen=True, slots=True)
class Need:
    """What a step takes from a component when it begins.

    Parameters
    ----------
    element : int
        Position of the step.
    component : str
        Code of the component.
    amount : int
        How much, in the component's own unit; above 0.
    begun : tuple of (str, int) or None
        Name of a step of the component, and when records say that it began in the batch that was taken from [min].
    within : tuple of (str, str, int)
        Of a load for several orders, the same of what that load takes: component, name of its step, when [min].
    """

    element: int
    component: str
    amount: int = 1
    begun: tuple[str, int] | None = None
    within: tuple[tuple[str, str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class ShelfLife:
    """How long after a step a batch may leave.

    Parameters
    ----------
    element : int
        Position of the step at whose end it begins.
    minutes : int
        At most until it leaves [min].
    """

    element: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Making:
    """How a batch is made: steps in sequence without a gap. The last is the stay until it leaves or is used up.

    Parameters
    ----------
    elements : tuple of Element
        At least one.
    needs : tuple of Need
        Components its steps take.
    shelf_life : ShelfLife or None
        How long it may be kept after one of its steps.
    """

    elements: tuple[Element, ...]
    needs: tuple[Need, ...] = ()
    shelf_life: ShelfLife | None = None


@dataclass(frozen=True, slots=True)
class Size:
    """How a component is made up to an amount.

    Parameters
    ----------
    most : int
        The most one batch gives.
    making : Making
        Its steps.
    """

    most: int
    making: Making


class SizeOnDemand:
    """A size whose steps are worked out when they are asked for.

    Parameters
    ----------
    most : int
        The most one batch gives.
    make : callable of int to Making
        What it gives -> its steps.
    """

    def __init__(self, most: int, make: Callable[[int], Making]) -> None:
        self.most, self._make = most, make

    @cached_property
    def making(self) -> Making:
        """Its steps."""
        return self._make(self.most)


@dataclass(frozen=True, slots=True)
class Component:
    """What steps of batches take: batches of it are made as the plan needs them, or it is one batch.

    Parameters
    ----------
    code : str
        Its name.
    sizes : tuple of Size
        From small to large; the last is what the bowl takes.
    single : bool
        Whether there is exactly one batch of it, which serves everybody.
    planned : tuple of int or None
        Where a single one is in the plan so far: its boundaries [min].
    fixed : bool
        Whether it stays where it is planned.
    apart : int or None
        Of a load for several orders, how long after the first the last may leave [min]; None for what steps use up.
    """

    code: str
    sizes: tuple[Size | SizeOnDemand, ...]
    single: bool = False
    planned: tuple[int, ...] | None = None
    fixed: bool = False
    apart: int | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    """One load of an order, or the drive that takes the order away.

    Parameters
    ----------
    code : str
        Its name, unlike any other's.
    making : Making
        Its steps.
    planned : tuple of int or None
        Its boundaries in the plan so far [min].
    fixed : bool
        Whether it stays where it is planned.
    after : int
        How long after the order has left its last step ends [min], a multiple of the grid; 0 for what leaves with it.
    begun : tuple of (int, int) or None
        A step's position, and when records say that it began [min]: there a new plan has it where it can.
    kind : str
        The same for loads that are not full, of which one could be made for several orders; empty for all others.
    """

    code: str
    making: Making
    planned: tuple[int, ...] | None = None
    fixed: bool = False
    after: int = 0
    begun: tuple[int, int] | None = None
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Order:
    """Batches that leave together, and the drive.

    Parameters
    ----------
    code : str
        Its name.
    windows : tuple of (int, int)
        When it may leave [min], both ends allowed.
    batches : tuple of Batch
        What is made for it.
    """

    code: str
    windows: tuple[Span, ...]
    batches: tuple[Batch, ...]


@dataclass(frozen=True, slots=True)
class Kitchen:
    """What there is, and when somebody is there.

    Parameters
    ----------
    grid : int
        Minutes of one slot.
    end : int
        The last minute that is looked at; a multiple of the grid.
    now : int
        Nothing new begins before [min].
    resources : tuple of Resource
        In an order that stays the same.
    attended : tuple of (int, int)
        When somebody is there [min]; the minute of closing counts.
    """

    grid: int
    end: int
    now: int
    resources: tuple[Resource, ...]
    attended: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """A kitchen and what it has promised.

    Parameters
    ----------
    kitchen : Kitchen
        What there is.
    orders : tuple of Order
        What is promised, with any inquiry.
    components : tuple of Component
        What batches take.
    """

    kitchen: Kitchen
    orders: tuple[Order, ...]
    components: tuple[Component, ...] = ()


@dataclass(frozen=True, slots=True)
class Taking:
    """Who takes how much of a component's batch.

    Parameters
    ----------
    batch : str
        Code of the batch whose step takes it.
    need : int
        Position among that batch's needs.
    amount : int
        How much.
    """

    batch: str
    need: int
    amount: int


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a batch is in a plan.

    Parameters
    ----------
    code : str
        The batch; of a component, a name of its own.
    boundaries : tuple of int
        Begin of each step, and the end of the last [min].
    units : tuple of tuple of int
        For each step and each of its uses, which of the alike it is in; 0 where it is not divided.
    component : str
        Of which component it is a batch; empty for a batch of an order.
    size : int
        Position among the component's sizes.
    takings : tuple of Taking
        Who takes from it.
    """

    code: str
    boundaries: tuple[int, ...]
    units: tuple[tuple[int, ...], ...]
    component: str = ""
    size: int = 0
    takings: tuple[Taking, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """Where everything is. What is not placed is not in it.

    Parameters
    ----------
    placed : tuple of Placed
        Batches of orders and of components.
    """

    placed: tuple[Placed, ...] = field(default=())

    def by_code(self) -> dict[str, Placed]:
        """Return each placed batch by its code."""
        return {one.code: one for one in self.placed}
