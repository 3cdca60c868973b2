"""The sizes of a component in slots, each worked out when it is asked for: of many sizes few are ever made."""

from __future__ import annotations

from bisect import bisect_left

from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, chain_of, longest_of
from costing.plan.problem import Component, Size, SizeOnDemand


class Sized:
    """A size of a component in slots.

    Parameters
    ----------
    size : Size or SizeOnDemand
        In minutes.
    capacity : Capacity
        Whose rows its steps use.
    """

    __slots__ = ("_capacity", "_chain", "_size", "most")

    def __init__(self, size: Size | SizeOnDemand, capacity: Capacity) -> None:
        self._size, self._capacity, self.most = size, capacity, size.most
        self._chain: Chain | None = None

    @property
    def chain(self) -> Chain:
        """Its steps."""
        if self._chain is None:
            self._chain = chain_of(self._size.making, self._capacity)
        return self._chain

    @property
    def keeps(self) -> int:
        """The longest its last stay may be [slots]."""
        return longest_of(self._size.making.elements[-1], self._capacity.grid)


class Sizes:
    """All sizes of a component, from small to large.

    Parameters
    ----------
    component : Component
        In minutes.
    capacity : Capacity
        Whose rows its steps use.
    """

    __slots__ = ("_capacity", "_known", "_most", "component")

    def __init__(self, component: Component, capacity: Capacity) -> None:
        self.component, self._capacity = component, capacity
        self._most = [one.most for one in component.sizes]
        self._known: dict[int, Sized] = {}

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._most)

    def __getitem__(self, at: int) -> Sized:
        """Return the size at a position, from 0."""
        if at not in self._known:
            self._known[at] = Sized(self.component.sizes[at], self._capacity)
        return self._known[at]

    @property
    def most(self) -> int:
        """The most one batch gives."""
        return self._most[-1]

    def place(self, amount: int) -> int | None:
        """Return the position of the smallest that gives so much; None where none does.

        Parameters
        ----------
        amount : int
            How much.
        """
        at = bisect_left(self._most, amount)
        return at if at < len(self._most) else None
