"""The cheapest whole packs that cover a need, exactly.

The task: packs of sizes s and prices p, a need N; choose whole numbers n of each so that Σ n·s ≥ N and
(Σ n·p, Σ n·s, Σ n, most of the pack listed first, second, …) is least in that order.

The method and why it is exact
------------------------------
All sizes and all prices are scaled to integers; N becomes the least integer not below it, which changes no
comparison Σ n·s ≥ N.

1. *Base pack.* Let b be the pack of least price per gram, of several the largest. Packs of the same grams as
   another that is cheaper (or as cheap and listed first) are dropped: exchanging one for the other keeps the grams
   and the number and makes the order above strictly better. So b is unique.
2. *Regret.* r = p·s_b − p_b·s ≥ 0 is zero for b. For every choice, s_b·Σ n·p = p_b·T + R with T the total grams and
   R the total regret. All parts of the objective are sums over packs, so comparing two choices of equal T means
   comparing the vector (R, s_b·count − T, …): *label* below. Every pack but b has a lexicographically positive label
   (r > 0; or r = 0 and then s_b − s > 0 because b is the largest of its price per gram), and b itself has a zero one.
3. *Dominance.* Let X and Y be two choices of packs other than b whose totals S(X) ≤ S(Y) differ by k·s_b. X with k
   more of b has the grams of Y and the label of X. So when label(X) < label(Y), Y and everything that
   contains Y can be exchanged for something strictly better. The best choice therefore contains no dominated part.
4. *Search.* Choices of packs other than b are built in a fixed order of packs, one pack at a time, and taken from a
   heap by label. Labels only grow, so when Y is taken, every X that might dominate it has been taken before;
   it is enough to store the least S taken so far for each remainder of S modulo s_b. A choice with S ≥ N is
   complete (one more pack adds grams and does not lower the price); one with S < N is completed with the least
   number of b that covers N. Each prefix of the best choice is undominated, so it is taken and extended.
5. *Bound.* Whatever contains a choice costs at least p_b·N + R (in units of price times s_b). With no b at all, what
   is missing is made of packs whose regret per gram is not below that of the last pack added, because packs are
   added in order of regret per gram; with one b or more the total is at least S + s_b. A choice that cannot reach the
   best price found is dropped; equal is kept, for the ties.

6. *Stop.* N is taken up to the next multiple of the sizes' greatest common divisor. A complete choice of exactly N
   grams is the best as soon as no choice still in the heap can be cheaper: those have no smaller label.

The search ends: choices with S < N are finitely many. It is short, because a choice survives only while its regret is
below the price of one base pack, which a first answer (base packs only) already guarantees. Where prices per gram are
almost the same that still leaves very many; then `costing.purchasing.meet_in_the_middle` looks at them from both ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from heapq import heappop, heappush
from math import gcd, lcm

from costing.purchasing.meet_in_the_middle import Task, meet

PATIENCE = 1500
"""Choices the search looks at before the halves are tried."""


@dataclass(frozen=True, slots=True)
class _Choice:
    """A choice of packs other than the base pack, as a chain of single packs."""

    pack: int
    before: _Choice | None


@dataclass(frozen=True, slots=True)
class _Other:
    """A pack other than the base pack, scaled."""

    listed: int
    size: int
    regret: int
    label: int


class PackShelf:
    """The packs an ingredient can be bought in on a costing date, prepared for the search.

    Parameters
    ----------
    sizes : sequence of Fraction
        Size of each pack in the order listed [g or each], all above zero.
    prices : sequence of Fraction
        Price of each pack [currency], none negative.
    """

    def __init__(self, sizes: list[Fraction], prices: list[Fraction]) -> None:
        self.count = len(sizes)
        self.scale = lcm(*(size.denominator for size in sizes))
        money = lcm(*(price.denominator for price in prices))
        self._sizes = [int(size * self.scale) for size in sizes]
        self._prices = [int(price * money) for price in prices]
        cheapest: dict[int, int] = {}
        for i, size in enumerate(self._sizes):
            if size not in cheapest or self._prices[i] < self._prices[cheapest[size]]:
                cheapest[size] = i
        self._base = min(cheapest.values(), key=lambda i: (Fraction(self._prices[i], self._sizes[i]), -self._sizes[i]))
        self._sizes_in_use = sorted(cheapest.values())
        self._step = gcd(*cheapest)

    def units(self, need: Fraction) -> int:
        """Return a need in the whole units this shelf counts in, rounded up.

        Parameters
        ----------
        need : Fraction
            What has to be covered [g or each].
        """
        return -(-need * self.scale // 1)

    def cheapest(self, need: int) -> tuple[int, ...]:
        """Choose the packs to buy.

        Parameters
        ----------
        need : int
            What has to be covered, from `units`.

        Returns
        -------
        tuple of int
            How many of each pack, in the order listed.
        """
        return self._search(-(-need // self._step) * self._step) if need > 0 else (0,) * self.count

    def _search(self, need: int) -> tuple[int, ...]:
        search = _Search(need, self._sizes[self._base], self._prices[self._base], self._others(need))
        return self._counts(*search.run(self._first_answer(need, search.others)))

    def _others(self, need: int) -> list[_Other]:
        """Return the packs other than the base pack with their labels, least regret per gram first.

        A label packs the vector (R, s_b·count − T, −s_b·n of each pack kept, +T for the base pack) into one integer,
        each part in a field wide enough for any sum the search can form.
        """
        size_b, price_b = self._sizes[self._base], self._prices[self._base]
        most = need // min(self._sizes) + 2
        width = (2 * most * size_b * max(self._sizes)).bit_length() + 2
        found = []
        for i in self._sizes_in_use:
            if i == self._base:
                continue
            size = self._sizes[i]
            regret = self._prices[i] * size_b - price_b * size
            parts = [size_b - size]
            parts += [size if j == self._base else (-size_b if j == i else 0) for j in self._sizes_in_use]
            label = regret
            for part in parts:
                label = (label << width) + part
            found.append(_Other(i, size, regret, label))
        return sorted(found, key=lambda other: (Fraction(other.regret, other.size), -other.size))

    def _first_answer(self, need: int, others: list[_Other]) -> int:
        """Return the total (price times base size) of a good choice: base packs alone or with one other kind."""
        size_b, price_b = self._sizes[self._base], self._prices[self._base]
        whole, rest = divmod(need, size_b)
        totals = [price_b * (whole + bool(rest)) * size_b]
        for other in others:
            price = other.regret + price_b * other.size
            totals.append(-(-need // other.size) * price)
            totals.append(price_b * whole * size_b + -(-rest // other.size) * price)
        return min(totals)

    def _counts(self, taken: tuple[int, ...], grams: int) -> tuple[int, ...]:
        counts = [0] * self.count
        for pack in taken:
            counts[pack] += 1
            grams -= self._sizes[pack]
        counts[self._base] = grams // self._sizes[self._base]
        return tuple(counts)


class _Search:
    """One search: a need, the base pack's size and price, and the other packs."""

    def __init__(self, need: int, size: int, price: int, others: list[_Other]) -> None:
        self.need, self.size, self.price, self.others = need, size, price, others
        self.turn = 0

    def run(self, best: int) -> tuple[tuple[int, ...], int]:
        """Find the best choice that costs no more than `best`; return its other packs and its total grams."""
        need, price, size = self.need, self.price, self.size
        choice_found: _Choice | None = None
        total_found, grams_found, label_found = -1, 0, 0
        heap: list[tuple[int, int, int, int, int, _Choice | None]] = [(0, 0, 0, 0, 0, None)]
        least: dict[int, int] = {}
        looked_at = 0
        while heap:
            label, _, taken, regret, last, choice = heappop(heap)
            floor = price * need + regret
            if floor > best or (grams_found == need and 0 <= total_found <= floor):
                break
            if least.get(taken % size, taken + 1) <= taken:
                continue
            least[taken % size] = taken
            grams = taken if taken >= need else taken - (taken - need) // size * size
            total = price * grams + regret
            if total_found < 0 or (total, grams, label) < (total_found, grams_found, label_found):
                total_found, grams_found, label_found, choice_found = total, grams, label, choice
                best = min(best, total)
            if taken < need:
                self._extend(heap, best, (label, taken, regret, last, choice))
            looked_at += 1
            met = self._meet(best) if looked_at == PATIENCE else None
            if met is not None:
                return met
        return _packs_of(choice_found), grams_found

    def _extend(
        self,
        heap: list[tuple[int, int, int, int, int, _Choice | None]],
        best: int,
        one: tuple[int, int, int, int, _Choice | None],
    ) -> None:
        label, taken, regret, last, choice = one
        for j in range(last, len(self.others)):
            other = self.others[j]
            reached, worse = taken + other.size, regret + other.regret
            if self._floor(reached, worse, other) <= best:
                entry = (label + other.label, self.turn, reached, worse, j, _Choice(other.listed, choice))
                self.turn += 1
                heappush(heap, entry)

    def _floor(self, reached: int, regret: int, last: _Other) -> int:
        """Return the least total (price times base size) that any completion of a choice can have."""
        if reached >= self.need:
            return self.price * reached + regret
        with_base = self.price * max(self.need, reached + self.size)
        without = self.price * self.need + -(-last.regret * (self.need - reached) // last.size)
        return regret + min(with_base, without)

    def _meet(self, best: int) -> tuple[tuple[int, ...], int] | None:
        found = meet(Task(self.need, self.size, self.price, best), [(o.size, o.regret, o.label) for o in self.others])
        if found is None:
            return None
        grams, counts = found
        packs = tuple(o.listed for o, n in zip(self.others, counts, strict=True) for _ in range(n))
        return packs, grams


def _packs_of(choice: _Choice | None) -> tuple[int, ...]:
    found = []
    while choice is not None:
        found.append(choice.pack)
        choice = choice.before
    return tuple(found)
