"""The cheapest packs when very many choices cost nearly the same: a meet-in-the-middle search.

Where prices per gram are almost the same, the search of `costing.purchasing.pack_search` has to visit all choices of
small regret, which can be hundreds of thousands. Here the packs other than the base pack are divided into two parts.
For each part, every choice is listed whose regret the best price found so far allows, and for each choice of one part
the best partner in the other is looked up.

Why it is exact
---------------
Write N for the need, m for the size and p for the price of the base pack, S and R for the grams and the regret of a
choice of other packs.

1. A choice with S < N is completed with base packs to T = N + ((S − N) mod m) grams. Every choice is valued with this
   T, also one with S ≥ N, whose true T can only be larger.
2. The value (price, grams, label) as one number is p·T + R, with T and the label in bit fields of their own. Apart
   from T it is a sum over the two parts a and b.
3. With t = (N − S_a) mod m and ρ_b = S_b mod m, the partner b gives T − N = ρ_b − t, plus m where ρ_b < t. So for a
   given a, the best b with ρ_b ≥ t is the one with the least value of its own, and so is the best b with ρ_b < t: two
   look-ups in lists of running minima.
4. The least value found belongs to a choice that can be bought as it is when S ≤ T. When its total is p·N + d, the
   best choice of all costs no more, so its regret is at most d. If regrets up to d were allowed in both parts, that
   choice was examined, and so it is the one found.
5. Regrets are allowed up to a small limit first, and the limit grows until point 4 applies. When the lists become too
   long, or every regret that the best price allows was tried without an answer, this method gives none, and
   `costing.purchasing.pack_search` continues its own search.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

LONGEST = 20_000

Counts = tuple[int, ...]
Listed = tuple[int, int, int, Counts]
"""Grams, regret, label and counts of a choice of one part."""


@dataclass(frozen=True, slots=True)
class Task:
    """A need, the base pack's size and price, and an upper bound of the best choice's cost (price times base size)."""

    need: int
    size: int
    price: int
    best: int


def meet(task: Task, others: Sequence[tuple[int, int, int]]) -> tuple[int, Counts] | None:
    """Find the best choice of packs other than the base pack.

    Parameters
    ----------
    task : Task
        What has to be covered.
    others : sequence of (int, int, int)
        Size, regret and label of each pack other than the base pack.

    Returns
    -------
    tuple of int and counts, or None
        Total grams with base packs, and the number of each other pack; None when this method gives no answer.
    """
    if not all(regret for _, regret, _ in others):
        return None  # no regret limits how many of such a pack there are: the lists would have no end
    room = task.best - task.price * task.need
    allowed = room >> 14
    parts = _parted(others, room)
    while True:
        allowed = min(room, allowed * 4 + 1)
        first, second = ([others[i] for i in part] for part in parts)
        lists = _choices(task, first, allowed), _choices(task, second, allowed)
        if lists[0] is None or lists[1] is None:
            return None
        found = _best(task, lists[0], lists[1])
        if found is not None and found[0] <= allowed:
            counts = [0] * len(others)
            for i, n in zip((*parts[0], *parts[1]), found[2], strict=True):
                counts[i] = n
            return found[1], tuple(counts)
        if allowed == room:
            return None
        room = room if found is None else min(room, found[0])


def _parted(others: Sequence[tuple[int, int, int]], room: int) -> tuple[list[int], list[int]]:
    """Divide the packs so that both parts have about as many choices; the result does not depend on the division."""
    parts: tuple[list[int], list[int]] = ([], [])
    sizes = [1, 1]
    for i, (_, regret, _) in enumerate(others):
        to = 0 if sizes[0] <= sizes[1] else 1
        parts[to].append(i)
        sizes[to] *= room // (regret + 1) + 1
    return parts


def _best(task: Task, first: list[Listed], second: list[Listed]) -> tuple[int, int, Counts] | None:
    """Find the best pair, if it can be bought as it is; return its cost above p·N, its grams and its counts."""
    width = 4 + max(choice[2] for choice in first + second).bit_length()
    gram = (task.price << 2 * width) + (1 << width)
    partners = sorted(
        (grams % task.size, (grams % task.size) * gram + (regret << 2 * width) + label, at)
        for at, (grams, regret, label, _) in enumerate(second)
    )
    residues = [partner[0] for partner in partners]
    values = [partner[1:] for partner in partners]
    before = list(accumulate(values, min))
    after = list(accumulate(reversed(values), min))[::-1]
    best: tuple[int, int, int] | None = None
    for at, (grams, regret, label, _) in enumerate(first):
        short = (task.need - grams) % task.size
        own = (regret << 2 * width) + label - short * gram
        place = bisect_left(residues, short)
        for value, partner in (*after[place : place + 1], *_wrapped(before, place, task.size * gram)):
            if best is None or own + value < best[0]:
                best = (own + value, at, partner)
    return None if best is None else _answer(task, first[best[1]], second[best[2]])


def _wrapped(before: list[tuple[int, int]], place: int, round_: int) -> list[tuple[int, int]]:
    return [(before[place - 1][0] + round_, before[place - 1][1])] if place else []


def _answer(task: Task, one: Listed, other: Listed) -> tuple[int, int, Counts] | None:
    grams = one[0] + other[0]
    total = task.need + (grams - task.need) % task.size
    if grams > total:
        return None
    cost = task.price * total + one[1] + other[1]
    return cost - task.price * task.need, total, one[3] + other[3]


def _choices(task: Task, packs: Sequence[tuple[int, int, int]], allowed: int) -> list[Listed] | None:
    """List the choices of some packs up to a regret; None when there are too many."""
    most = task.need + task.size
    found: list[Listed] = [(0, 0, 0, ())]
    for size, regret, label in packs:
        longer: list[Listed] = []
        for grams, worse, order, counts in found:
            limit = (most - grams) // size if not regret else min((most - grams) // size, (allowed - worse) // regret)
            longer += [
                (grams + n * size, worse + n * regret, order + n * label, (*counts, n)) for n in range(limit + 1)
            ]
            if len(longer) > LONGEST:
                return None
        found = longer
    return found
