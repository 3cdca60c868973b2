"""Batches put into a plan in the making: components joined or begun, everything undone when it fails.

A load is placed by the exact insertion of its chain; then each of its needs, the last first, joins a batch of the
component that is there (which may be made anew, larger) or begins a new one, and so on for what that one needs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from costing.plan.bit_sets import each, last, span
from costing.plan.chains import Chain
from costing.plan.insertion import Musts, begins_after, begins_before, occupy, traced
from costing.plan.places import Place, Places
from costing.plan.problem import Need, Problem, Taking

_BEGINS = 4
_HOUR_SLOTS = 6

Begin = Callable[[int], int]
"""A set of slots to the one at which to try to begin first."""


class Placing(Places):
    """A plan in the making, into which batches are put.

    Parameters
    ----------
    problem : Problem
        What is promised.
    alike : Places or None
        Another plan of the same kitchen, whose batches may be the same: their steps are worked out once.
    """

    def __init__(self, problem: Problem, alike: Places | None = None) -> None:
        super().__init__(problem, alike)
        self._ready: dict[str, tuple[int, int]] = {}
        self._choose: Begin = last

    def begin_from(self, low: int) -> None:
        """Let nothing that is placed from now on begin before a slot.

        Parameters
        ----------
        low : int
            The slot.
        """
        self.low = low
        self._ready.clear()

    def put(self, code: str, leaves: int, *, begin: Begin = last, join: bool = True) -> bool:
        """Place a load with all it needs; return whether it could be.

        Parameters
        ----------
        code : str
            The load.
        leaves : int
            When its order leaves [slot].
        begin : callable of int to int
            Where to begin first among the slots at which it can.
        join : bool
            Whether its needs look for batches that are there before new ones are begun.
        """
        chain, end = self.loads[code], leaves + self.after[code]
        taken = self.taken_load(code)
        # What is taken of a load that serves several orders leaves that load to begin somewhere.
        self._choose = last if taken is None else begin
        if code in self.begun and self._put(code, chain, end, self.begun[code], begin, join):
            return True
        if self._put(code, chain, end, {}, begin, join):
            return True
        musts = self.musts(chain) if chain.needs and taken is None else {}
        return bool(musts) and self._put(code, chain, end, musts, begin, join)

    def put_as(self, code: str, boundaries: Sequence[int]) -> bool:
        """Place a load at given slots with all it needs; return whether it could be, while its order leaves then.

        Parameters
        ----------
        code : str
            The load.
        boundaries : sequence of int
            Slots.
        """
        leaves = self.leaves(self.order_of[code])
        if leaves is not None and leaves + self.after[code] != boundaries[-1]:
            return False
        musts = {at: 1 << slot for at, slot in enumerate(boundaries[:-1])}
        return self._put(code, self.loads[code], boundaries[-1], musts, last, True)

    def name(self, component: str) -> str:
        """Return a name for one more batch of a component.

        Parameters
        ----------
        component : str
            Its code.
        """
        self.count += 1
        return f"{component}~{self.count}"

    def put_load(self, load: Place, musts: Musts | None, leaving: Mapping[str, int]) -> bool:
        """Place a load that serves several orders with what these take of it; return whether it could be.

        Parameters
        ----------
        load : Place
            The load as it was, with what was taken of it.
        musts : mapping of int to int, or None
            For some of its steps, the slots at which they may begin; where records say that they did when left out.
        leaving : mapping of str to int
            What is taken of it, and when that leaves [slot]; nothing of it is placed.
        """
        mark, sizes = self.mark(), self.sizes[load.component]
        takings = tuple(Taking(code, 0, self.loads[code].needs[0].amount) for code in leaving)
        able = sum(one.amount for one in takings) <= sizes[load.size].most
        for code, time in leaving.items():
            able = able and self.leaves(self.order_of[code]) in (None, time)
            self.change(self.places, code, Place(code, self.loads[code], (time, time), (0,), suppliers=(load.code,)))
        self._choose = last
        fresh = replace(load, takings=takings)
        musts = self._recorded(load.chain, takings) if musts is None else musts
        if able and self._make_at(fresh, min(leaving.values()), max(leaving.values()), musts):
            return True
        self.back_to(mark)
        return False

    def _put(self, code: str, chain: Chain, leaves: int, musts: Musts, begin: Begin, join: bool) -> bool:
        begins = begins_before(self.capacity, chain, leaves, leaves, self.low, musts)
        if begins is None:
            return False
        slots, tries = begins[0], _BEGINS if chain.needs else 1
        choose = begin
        while slots and tries:
            tries -= 1
            at = choose(slots)
            mark = self.mark()
            boundaries, options = traced(self.capacity, chain, begins, at, leaves)
            occupy(self.capacity, chain, boundaries, options)
            self.change(self.places, code, Place(code, chain, boundaries, options))
            if self._supply(code, join):
                return True
            self.back_to(mark)
            # Somewhat earlier there may be room for what it needs.
            slots &= span(0, max(0, at - _HOUR_SLOTS + 1))
            choose = last
        return False

    def _supply(self, code: str, join: bool) -> bool:
        """Serve all needs of a batch, the last first."""
        place = self.places[code]
        if not place.chain.needs:
            return True
        suppliers = [""] * len(place.chain.needs)
        numbers = sorted(range(len(suppliers)), key=lambda one: (-place.chain.needs[one].element, one))
        for number in numbers:
            found = self._serve(Taking(code, number, place.chain.needs[number].amount), join)
            if found is None:
                return False
            suppliers[number] = found
        # Joining may have made this batch's own suppliers anew, not the batch itself.
        self.change(self.places, code, replace(self.places[code], suppliers=tuple(suppliers)))
        return True

    def _serve(self, taking: Taking, join: bool) -> str | None:
        need = self._need(taking)
        component = need.component
        if component in self.single:
            return self._serve_single(taking, component)
        ways = (self._join, self._begin) if join or need.begun is not None else (self._begin, self._join)
        for way in ways:
            found = way(taking, component)
            if found is not None:
                return found
        return None

    def recorded(self, code: str) -> bool:
        """Return whether what a load takes began where records say, as far as they say anything.

        Parameters
        ----------
        code : str
            A load that is placed.
        """
        place = self.places[code]
        for number, supplier in enumerate(place.suppliers):
            need = self._need(Taking(code, number, place.chain.needs[number].amount))
            if supplier in self.places and not self._began_so(self.places[supplier], need):
                return False
        taken = self.taken_load(code) if code in self.loads else None
        return taken is None or self.recorded(place.suppliers[0])

    def _began_so(self, place: Place, need: Need) -> bool:
        musts = self._musts_of(place.chain, need)
        return all(slots >> place.boundaries[at] & 1 for at, slots in musts.items())

    def _musts_of(self, chain: Chain, need: Need) -> Musts:
        """Return the slot at which a step of what is taken began by records; nothing where they say nothing."""
        names = [element.name for element in chain.elements]
        if need.begun is None or need.begun[0] not in names:
            return {}
        return {names.index(need.begun[0]): 1 << max(0, need.begun[1] // self.capacity.grid)}

    def _need(self, taking: Taking) -> Need:
        """Return what is taken, with what records say of it: of what a shared load takes, its orders' records."""
        place = self.places[taking.batch]
        need = place.chain.needs[taking.need]
        if place.component not in self.apart:
            return need
        number = sum(one.component == need.component for one in place.chain.needs[: taking.need])
        every = (one for other in place.takings for one in self._need(other).within if one[0] == need.component)
        found = [(step, minute) for _, step, minute in dict.fromkeys(every)]
        return replace(need, begun=found[number]) if number < len(found) else need

    def _serve_single(self, taking: Taking, component: str) -> str | None:
        if not self.made[component]:
            return self._begin(taking, component)
        return self._join(taking, component)

    def _join(self, taking: Taking, component: str) -> str | None:
        time = self.time(taking)
        most = self.sizes[component].most
        able = [self.places[code] for code in self.made[component]]
        able = [place for place in able if place.amount + taking.amount <= most]
        able = [place for place in able if self._may_join(place, taking, time)]
        for place in able:
            if self._lengthen(place, taking, time):
                return place.code
        for place in able:
            if place.code not in self.fixed and self._is_alike(place, taking) and self._make_larger(place, taking):
                return place.code
        return None

    def _may_join(self, place: Place, taking: Taking, time: int) -> bool:
        """Return whether somebody may take from a batch, by records, and of a load by when its orders leave."""
        if not self._began_so(place, self._need(taking)):
            return False
        apart = self.apart.get(place.component)
        if apart is None:
            return True
        # What is begun is for those it was begun for.
        if place.code in self.fixed or not self._is_alike(place, taking):
            return False
        times = [time, *(self.time(one) for one in place.takings)]
        return max(times) - min(times) <= apart

    def _is_alike(self, place: Place, taking: Taking) -> bool:
        """Return whether records say of a batch what they say of what is taken: else nothing more goes into it."""
        begun = {self._need(one).begun for one in place.takings} - {None}
        return not begun or self._need(taking).begun in begun

    def _lengthen(self, place: Place, taking: Taking, time: int) -> bool:
        """Serve one more from a batch as it is, its last stay perhaps longer."""
        step = place.chain.steps[-1]
        ready, end = place.boundaries[-2] + step.least, place.boundaries[-1]
        if not ready <= time <= place.boundaries[-2] + step.longest:
            return False
        if place.amount + taking.amount > self.sizes[place.component][place.size].most:
            return False
        fresh = place.chain.fresh
        if fresh is not None and time - place.boundaries[fresh[0]] > fresh[1]:
            return False
        if time > end:
            for claim in step.options[place.options[-1]]:
                if not self.capacity.runs(*claim)(time - end) >> end & 1:
                    return False
        self.end_at(place, (*place.takings, taking), max(time, end))
        return True

    def _make_larger(self, place: Place, taking: Taking) -> bool:
        mark = self.mark()
        takings = (*place.takings, taking)
        times = [self.time(one) for one in takings]
        size = self.sizes[place.component].place(sum(one.amount for one in takings))
        if size is None or max(times) - min(times) > self.sizes[place.component][size].keeps:
            return False
        self.take_out(place.code)
        if self._make(place.component, place.code, takings, min(times), max(times)):
            return True
        self.back_to(mark)
        return False

    def _begin(self, taking: Taking, component: str) -> str | None:
        code = component if component in self.single else self.name(component)
        time = self.time(taking)
        return code if self._make(component, code, (taking,), time, time) else None

    def _make(self, component: str, code: str, takings: tuple[Taking, ...], first: int, end: int) -> bool:
        amount = sum(taking.amount for taking in takings)
        size = self.sizes[component].place(amount)
        if size is None:
            return False
        chain = self.sizes[component][size].chain
        fresh = Place(code, chain, (), (), component, size, takings)
        recorded = self._recorded(chain, takings)
        if recorded and self._make_at(fresh, first, end, recorded):
            return True
        if self._make_at(fresh, first, end, {}):
            return True
        # What it takes itself may be there at few times only, as where it has to be used at once.
        musts = self.musts(chain) if chain.needs else {}
        return bool(musts) and self._make_at(fresh, first, end, musts)

    def _recorded(self, chain: Chain, takings: Sequence[Taking]) -> Musts:
        """Return the slot at which a step of a batch began by the records of whoever takes from it."""
        return next((musts for one in takings if (musts := self._musts_of(chain, self._need(one)))), {})

    def _make_at(self, place: Place, first: int, end: int, musts: Musts) -> bool:
        """Make a batch that is used from one slot to another, and all it needs; return whether it could be."""
        chain, code, component = place.chain, place.code, place.component
        begins = begins_before(self.capacity, chain, first, end, self.low, musts)
        if begins is None:
            return False
        choose, self._choose = self._choose, last
        slots, tries = begins[0], 2 if chain.needs else 1
        tries += 2 * (choose is not last or component in self.apart)
        while slots and tries:
            tries -= 1
            mark, at = self.mark(), choose(slots)
            boundaries, options = traced(self.capacity, chain, begins, at, end)
            occupy(self.capacity, chain, boundaries, options)
            self.change(self.places, code, replace(place, boundaries=boundaries, options=options))
            self.change(self.made, component, (*self.made[component], code))
            if self._supply(code, True):
                return True
            self.back_to(mark)
            slots &= span(0, max(0, at - _HOUR_SLOTS + 1))
            choose = last
        return False

    def musts(self, chain: Chain) -> dict[int, int]:
        """Return for each step with needs the slots at which all it takes could be there.

        Parameters
        ----------
        chain : Chain
            The steps.
        """
        found: dict[int, int] = {}
        for need in chain.needs:
            able = self._ready_at(need) | self._joinable(need)
            found[need.element] = found.get(need.element, self.capacity.everything) & able
        return found

    def _ready_at(self, need: Need) -> int:
        """Return when a new batch of a component could be used."""
        if need.component in self.single and self.made[need.component]:
            return 0
        at = self.sizes[need.component].place(need.amount)
        if at is None:
            return 0
        chain = self.sizes[need.component][at].chain
        version = sum(self.capacity.versions)
        known = self._ready.get(f"{need.component}/{at}")
        if known is not None and known[0] == version:
            return known[1]
        slots = begins_after(self.capacity, chain, self.low, self.musts(chain))[-1]
        self._ready[f"{need.component}/{at}"] = (version, slots)
        return slots

    def _joinable(self, need: Need) -> int:
        found = 0
        for code in self.made[need.component]:
            place = self.places[code]
            if place.amount + need.amount <= self.sizes[need.component].most:
                step, begin = place.chain.steps[-1], place.boundaries[-2]
                low = begin + step.least if code in self.fixed else max(0, begin + step.least - step.longest)
                found |= span(low, begin + step.longest + 1)
        return found & self.capacity.everything


def leaving_times(slots: int, most: int) -> Sequence[int]:
    """Return a few times of leaving out of a window, the last first.

    Parameters
    ----------
    slots : int
        The window.
    most : int
        How many at most.
    """
    times = list(each(slots))[::-1]
    return times if len(times) <= most else times[:: -(-len(times) // most)]
