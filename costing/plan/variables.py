"""The batches of an exact search as variables: one for each boundary, one for the time an order leaves."""

from __future__ import annotations

from dataclasses import dataclass

from costing.plan.bit_sets import span
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain


@dataclass(frozen=True, slots=True)
class Before:
    """One variable and so many slots are not after another.

    Parameters
    ----------
    early : int
        The variable that comes first.
    late : int
        The other.
    slots : int
        Slots between; below 0 the other may come so much earlier.
    """

    early: int
    late: int
    slots: int


@dataclass(frozen=True, slots=True)
class Item:
    """A batch to place.

    Parameters
    ----------
    code : str
        The batch.
    chain : Chain
        Its steps.
    variables : tuple of int
        Its boundaries.
    uses : tuple of int
        Variables at which it is used, for a component; empty for a batch that leaves.
    used : tuple of int
        Slots at which batches that do not change use it.
    asked : bool
        Whether the question is about it: its start, or when it is ready.
    """

    code: str
    chain: Chain
    variables: tuple[int, ...]
    uses: tuple[int, ...] = ()
    used: tuple[int, ...] = ()
    asked: bool = False


@dataclass(frozen=True, slots=True)
class Solved:
    """A solution in slots.

    Parameters
    ----------
    boundaries : dict of str to tuple of int
        For each batch.
    options : dict of str to tuple of int
        For each batch the choice of each step.
    value : int
        The earliest start of what is asked about, or when the last of it is ready.
    """

    boundaries: dict[str, tuple[int, ...]]
    options: dict[str, tuple[int, ...]]
    value: int


@dataclass(frozen=True, slots=True)
class Model:
    """Batches to place, and what holds between their boundaries.

    Parameters
    ----------
    items : tuple of Item
        The batches.
    starts : tuple of int
        For each variable, where it may be.
    before : tuple of Before
        What comes before what.
    """

    items: tuple[Item, ...]
    starts: tuple[int, ...]
    before: tuple[Before, ...]

    def domains(self, capacity: Capacity) -> list[int]:
        """Return where each variable may be at first.

        Parameters
        ----------
        capacity : Capacity
            What is free, and when somebody is there.
        """
        found = list(self.starts)
        for item in self.items:
            for at, step in enumerate(item.chain.steps):
                if step.attended:
                    found[item.variables[at]] &= capacity.attended
        return found

    def watched(self, side: str) -> list[int]:
        """Return the variables a question is about.

        Parameters
        ----------
        side : str
            `latest` for the begins, `earliest` for when batches are ready.
        """
        place = 0 if side == "latest" else -2
        return [item.variables[place] for item in self.items if item.asked]

    def ends(self, values: list[int]) -> list[int]:
        """Return when each batch leaves or is used up; a component's last stay ends with its last use.

        Parameters
        ----------
        values : list of int
            The slot of each variable.
        """
        found = []
        for item in self.items:
            times = [*(values[use] for use in item.uses), *item.used]
            found.append(max(times) if times else values[item.variables[-1]])
        return found

    def solved(self, values: list[int], ends: list[int], options: dict[tuple[int, int], int], side: str) -> Solved:
        """Return a solution.

        Parameters
        ----------
        values : list of int
            The slot of each variable.
        ends : list of int
            When each batch leaves or is used up.
        options : dict of (int, int) to int
            Batch and step to the choice among alike resources, where it is not the first.
        side : str
            `latest` or `earliest`.
        """
        boundaries, chosen = {}, {}
        for one, item in enumerate(self.items):
            boundaries[item.code] = (*(values[variable] for variable in item.variables[:-1]), ends[one])
            chosen[item.code] = tuple(options.get((one, at), 0) for at in range(len(item.chain.steps)))
        watched = [values[variable] for variable in self.watched(side)]
        value = (min if side == "latest" else max)(watched, default=0)
        return Solved(boundaries, chosen, value)


class ModelMaker:
    """Makes a model batch by batch.

    Parameters
    ----------
    low : int
        No step begins before this slot.
    high : int
        Nothing ends after this slot.
    """

    def __init__(self, low: int, high: int) -> None:
        self._anywhere = span(low, high + 1)
        self._items: list[Item] = []
        self._starts: list[int] = []
        self._before: list[Before] = []

    def variable(self, slots: int | None = None) -> int:
        """Add a variable and return its number.

        Parameters
        ----------
        slots : int or None
            Where it may be; anywhere when left out.
        """
        self._starts.append(self._anywhere if slots is None else slots)
        return len(self._starts) - 1

    def before(self, early: int, late: int, slots: int = 0) -> None:
        """Let one variable and so many slots be not after another.

        Parameters
        ----------
        early : int
            The variable that comes first.
        late : int
            The other.
        slots : int
            Slots between.
        """
        self._before.append(Before(early, late, slots))

    def pin(self, variable: int, slot: int) -> None:
        """Let a variable be at one slot alone.

        Parameters
        ----------
        variable : int
            Its number.
        slot : int
            The slot.
        """
        self._starts[variable] = 1 << slot

    def add(self, code: str, chain: Chain, variables: tuple[int, ...]) -> None:
        """Add a batch whose variables are there already, without anything between them.

        Parameters
        ----------
        code : str
            The batch.
        chain : Chain
            Its steps.
        variables : tuple of int
            Its boundaries.
        """
        self._items.append(Item(code, chain, variables))

    def narrow(self, variable: int, slots: int) -> None:
        """Let a variable be in a set alone.

        Parameters
        ----------
        variable : int
            Its number.
        slots : int
            The set.
        """
        self._starts[variable] &= slots

    def batch(
        self,
        code: str,
        chain: Chain,
        leaves: int,
        *,
        asked: bool,
        uses: tuple[int, ...] = (),
        used: tuple[int, ...] = (),
    ) -> tuple[int, ...]:
        """Add a batch and return its variables.

        Parameters
        ----------
        code : str
            The batch.
        chain : Chain
            Its steps.
        leaves : int
            Variable of the time at which it leaves or is used up.
        asked : bool
            Whether the question is about it.
        uses : tuple of int
            Variables at which it is used.
        used : tuple of int
            Slots at which batches that do not change use it.
        """
        variables = (*(self.variable() for _ in chain.steps), leaves)
        if chain.fresh is not None:
            self.before(leaves, variables[chain.fresh[0]], -chain.fresh[1])
        least = chain.steps[-1].least
        for use in uses:
            self.before(variables[-2], use, least)
            self.before(use, leaves)
        if used:
            self.narrow(variables[-2], span(0, min(used) - least + 1))
            self.narrow(leaves, -1 << max(used))
        self._items.append(Item(code, chain, variables, uses, used, asked))
        return variables

    def model(self) -> Model:
        """Return what was added."""
        return Model(tuple(self._items), tuple(self._starts), tuple(self._before))
