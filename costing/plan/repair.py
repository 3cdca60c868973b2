"""Whole plans: a first one by insertion, then ruin and recreate until everything has its place, then fresher.

While anything is unplaced, only that counts: what could not be placed again and again weighs more and more, and how
long things lie is not looked at, which would stop the search at the last one or two. Reproducible: seeded, limited in
iterations, and no order is taken from a set.

References
----------
G. Schrimpf, J. Schneider, H. Stamm-Wilbrandt, G. Dueck, "Record breaking optimization results using the ruin and
recreate principle", Journal of Computational Physics 159 (2000). From memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from random import Random

from costing.plan.bit_sets import each, last, span
from costing.plan.placing import Placing, leaving_times

_MOST_OUT = 12
_TIMES = 4
_BACK = (24, 96, 288, 576)
_BEFORE = (0, 0, 60, 144, 288, 432)
_JOINED = 0.8
_NOISE = 40
"""How far apart begins are tried, and loads are looked for that are in the way [slots]: own choice, by trying."""
Enough = Callable[[], bool]
"""Whether to end before the last iteration: a clock, or somebody who waits."""


def never() -> bool:
    """Return that there is no other limit."""
    return False


class Repair:
    """A plan for all loads of a problem.

    Parameters
    ----------
    placing : Placing
        The plan in the making.
    seed : int
        Of the random choices.
    movable : iterable of str or None
        Loads that may be taken out; all when left out.
    """

    def __init__(self, placing: Placing, seed: int = 1, movable: Iterable[str] | None = None) -> None:
        self.placing = placing
        self.random = Random(seed)  # noqa: S311 - a search, no secret
        self.movable = [*(placing.loads if movable is None else movable)]
        self.penalties: dict[str, int] = dict.fromkeys(placing.loads, 1)
        # What is taken of a load that may serve several orders is as much work as that load for this one alone.
        self._chains = {code: placing.steps_of(code) for code in placing.loads}
        self._rows: dict[str, list[int]] = {
            code: sorted({row for step in chain.steps for option in step.options for row, _, _ in option})
            for code, chain in self._chains.items()
        }
        self._work = {
            code: sum(step.least * len(step.options[0]) for step in chain.steps) for code, chain in self._chains.items()
        }
        self._needs: dict[str, list[str]] = {
            code: sorted({need.component for need in (*chain.needs, *placing.loads[code].needs)})
            for code, chain in self._chains.items()
        }

    def first_plan(self, orders: Sequence[Sequence[str]] | None = None) -> list[str]:
        """Place all loads in several sequences and leave the best; return what is unplaced.

        Parameters
        ----------
        orders : sequence of sequence of str or None
            The sequences; four of our own when left out.
        """
        placing = self.placing
        best: tuple[int, list[str]] | None = None
        for sequence in self._sequences() if orders is None else orders:
            mark = placing.mark()
            failed = self._insert(sequence, anywhere=False)
            if best is None or len(failed) < best[0]:
                best = (len(failed), list(sequence))
            if not failed:
                break
            placing.back_to(mark)
        else:
            self._insert(best[1] if best is not None else (), anywhere=False)
        placing.settle()
        return placing.unplaced()

    def _sequences(self) -> list[list[str]]:
        loads = [code for code in self.movable if code not in self.placing.places]
        chains = self._chains

        def leaves(code: str) -> int:
            return last(self.placing.windows[self.placing.order_of[code]] | 1)

        def slack(code: str) -> int:
            return sum(step.longest - step.least for step in chains[code].steps)

        found = [
            sorted(loads, key=lambda code: (chains[code].steps[-1].longest, leaves(code), code)),
            sorted(loads, key=lambda code: (slack(code), leaves(code), code)),
            sorted(loads, key=lambda code: (leaves(code), -self._work[code], code)),
            sorted(loads, key=lambda code: (-self._work[code], leaves(code), code)),
        ]
        # A drive is when it is, and work goes around it: the first to leave takes the first vehicle.
        drives = sorted((code for code in loads if self.placing.after[code]), key=lambda code: (leaves(code), code))
        return [[*drives, *(code for code in one if not self.placing.after[code])] for one in found]

    def repair(self, iterations: int, enough: Enough = never) -> list[str]:
        """Take out and put in again until everything has its place; return what is unplaced.

        Parameters
        ----------
        iterations : int
            How often at most.
        enough : callable
            Whether to end earlier.
        """
        placing = self.placing
        placing.settle()
        mine = set(self.movable)
        unplaced = [code for code in placing.unplaced() if code in mine]
        for _ in range(iterations):
            if not unplaced or enough():
                break
            pivot = unplaced[self.random.randrange(len(unplaced))]
            out = self._ruined(pivot, self.random.randint(2, _MOST_OUT))
            mark = placing.mark()
            again = [pivot, *self._shuffled(out)]
            for code in out:
                placing.take_out(code)
            limit = self._weight(unplaced)
            left = [code for code in unplaced if code != pivot]
            failed = self._insert(again, anywhere=True, limit=limit - self._weight(left))
            # A plan in which others have other places is as good while the same is unplaced: so the search moves on.
            now = [code for code in placing.loads if code in {*left, *failed}]
            grown = self._weight(now) > limit
            if pivot in failed:
                self.penalties[pivot] += 1
            if grown:
                placing.back_to(mark)
                continue
            placing.settle()
            others = self._insert([code for code in now if code not in failed], anywhere=True)
            placing.settle()
            unplaced = [code for code in now if code in failed or code in others]
        return unplaced

    def improve(self, iterations: int, enough: Enough = never, heat: float = 24.0) -> int:
        """Take out and put in again so that things lie less long; return the lead of all loads [slots].

        Parameters
        ----------
        iterations : int
            How often.
        enough : callable
            Whether to end earlier.
        heat : float
            How much worse a plan may become at first [slots].
        """
        placing = self.placing
        placing.settle()
        lead = self.lead()
        for number in range(iterations):
            loads = [code for code in self.movable if code in placing.places]
            if enough() or not loads:
                break
            pivot = loads[self.random.randrange(len(loads))]
            out = self._ruined(pivot, self.random.randint(2, _MOST_OUT))
            mark = placing.mark()
            for code in (pivot, *out):
                placing.take_out(code)
            failed = self._insert(self._shuffled([pivot, *out]), anywhere=False, limit=0)
            now = self.lead()
            warm = max(1e-9, heat * (1 - number / iterations))
            if failed or (now > lead and self.random.random() >= math.exp((lead - now) / warm)):
                placing.back_to(mark)
                continue
            placing.settle()
            lead = now
        return lead

    def lead(self) -> int:
        """Return how long all loads together are on their way, from begin to leaving [slots]."""
        placing = self.placing
        there = [code for code in placing.loads if code in placing.places]
        return sum(placing.places[code].boundaries[-1] - placing.load_of(code).boundaries[0] for code in there)

    def _weight(self, unplaced: Iterable[str]) -> int:
        return sum(self.penalties[code] for code in unplaced)

    def _insert(self, sequence: Sequence[str], *, anywhere: bool, limit: int | None = None) -> list[str]:
        """Place loads one after another; return those that could not be, or ends when they weigh more than a limit."""
        failed: list[str] = []
        weight = 0
        for number, code in enumerate(sequence):
            if not self._put(code, anywhere=anywhere):
                failed.append(code)
                weight += self.penalties[code]
                if limit is not None and weight > limit:
                    return [*failed, *sequence[number + 1 :]]
        return failed

    def _put(self, code: str, *, anywhere: bool) -> bool:
        placing = self.placing
        order = placing.order_of[code]
        leaves = placing.leaves(order)
        times = [leaves] if leaves is not None else list(leaving_times(placing.windows[order], _TIMES))
        if anywhere and len(times) > 1:
            self.random.shuffle(times)
        begin = self._somewhere if anywhere and self.random.random() < 0.5 else last
        # What could be made with others is sometimes made apart: joining moves what is there.
        join = not (anywhere and placing.taken_load(code)) or self.random.random() < _JOINED
        return any(placing.put(code, time, begin=begin, join=join) for time in times)

    def _somewhere(self, slots: int) -> int:
        """Return a slot not too long before the last."""
        back = self.random.choice(_BACK)
        able = list(each(slots & ~span(0, max(0, last(slots) - back))))
        return able[self.random.randrange(len(able))]

    def _shuffled(self, loads: Sequence[str]) -> list[str]:
        if self.random.random() < 0.5:
            return self.random.sample(loads, len(loads))
        return sorted(loads, key=lambda code: -self._work[code] * self.random.uniform(0.5, 1.5))

    def _ruined(self, pivot: str, count: int) -> list[str]:
        """Return loads to take out: some of whose steps are near in time, with the same component or station."""
        placing = self.placing
        there = [code for code in self.movable if code in placing.places and code != pivot]
        draw = self.random.random()
        if draw < 0.45:
            alike: Mapping[str, Sequence[int | str]] = self._needs if draw < 0.25 else self._rows
            if alike[pivot]:
                chosen = self.random.choice(alike[pivot])
                there = [code for code in there if chosen in alike[code]] or there
        leaves = last(placing.windows[placing.order_of[pivot]] | 1)
        return self._whole(near(placing, there, leaves, self.random)[:count], pivot)

    def _whole(self, codes: Sequence[str], pivot: str) -> list[str]:
        """Return loads with all that are made as one with them: a part taken out of a load makes no room."""
        placing, mine = self.placing, set(self.movable)
        found: dict[str, None] = {}
        for code in (pivot, *codes) if pivot in placing.places else codes:
            together = placing.sharing(code)
            if mine.issuperset(together):
                found |= dict.fromkeys(together)
        found.pop(pivot, None)
        return list(found)


def near(placing: Placing, loads: Sequence[str], leaves: int, random: Random) -> list[str]:
    """Return loads with something at about a time before another leaves first: when its own steps may be.

    Parameters
    ----------
    placing : Placing
        The plan in the making.
    loads : sequence of str
        Loads that are in it.
    leaves : int
        When the other leaves [slot].
    random : Random
        Of the random choices.
    """
    time = leaves - random.choice(_BEFORE)
    apart = {
        code: min(abs(slot - time) for slot in placing.load_of(code).boundaries) + random.uniform(0, _NOISE)
        for code in loads
    }
    return sorted(loads, key=apart.__getitem__)
