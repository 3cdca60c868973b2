"""Which capacity a set of steps breaks together, and which few of them do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from costing.plan.capacity import COOL, Capacity, Claim
from costing.plan.chains import Option


@dataclass(frozen=True, slots=True, eq=False)
class StepUse:
    """A step where it is now.

    Parameters
    ----------
    item : int
        Its batch.
    at : int
        Its position.
    begin : int
        Slot.
    end : int
        Slot.
    options : tuple of Option
        What it may take.
    unit : int or None
        The choice, where it is made.
    """

    item: int
    at: int
    begin: int
    end: int
    options: tuple[Option, ...]
    unit: int | None


@dataclass(frozen=True, slots=True)
class Conflict:
    """What cannot be at the same time.

    Parameters
    ----------
    steps : tuple of StepUse
        Two or more.
    short : tuple of (int, int) or None
        The slots in which there is too little for all of them at once; None where they never go together.
    choose : tuple of int or None
        Batch and step for which one of the alike resources is to be chosen first.
    """

    steps: tuple[StepUse, ...]
    short: tuple[int, int] | None = None
    choose: tuple[int, int] | None = None


Taken = dict[int, list[tuple[StepUse, Claim]]]


def conflict_in(capacity: Capacity, uses: list[StepUse], *, late: bool) -> Conflict | dict[tuple[int, int], int]:
    """Return a conflict, or the choice of option for each step that has several.

    Parameters
    ----------
    capacity : Capacity
        What is free beside these steps.
    uses : list of StepUse
        The steps.
    late : bool
        Whether to look from the last slot; otherwise from the first.
    """
    taken: Taken = {}
    chosen: dict[tuple[int, int], int] = {}
    # What has no choice comes first, so that the others see it.
    for use in sorted(uses, key=lambda one: (len(one.options) > 1 and one.unit is None, one.begin)):
        options = use.options if use.unit is None else (use.options[use.unit],)
        able = 0
        if len(options) > 1:
            fits = [number for number, option in enumerate(options) if _fits(capacity, taken, use, option)]
            if not fits:
                return Conflict((use,), choose=(use.item, use.at))
            able = fits[0]
        if len(use.options) > 1:
            chosen[use.item, use.at] = able if use.unit is None else use.unit
        for claim in options[able]:
            taken.setdefault(claim[0], []).append((use, claim))
    conflicts = [found for row, several in taken.items() if (found := _broken(capacity, row, several, late=late))]
    if not conflicts:
        return chosen
    # Few steps make few branches.
    return min(conflicts, key=lambda found: (len(found[1].steps), -found[0] if late else found[0]))[1]


def _fits(capacity: Capacity, taken: Taken, use: StepUse, option: Option) -> bool:
    for claim in option:
        row, amount, temperature = claim
        if not capacity.runs(row, amount, temperature)(use.end - use.begin) >> use.begin & 1:
            return False
        others = [(other, own) for other, own in taken.get(row, ()) if other.begin < use.end and use.begin < other.end]
        if _broken(capacity, row, [*others, (use, claim)], late=False):
            return False
    return True


def _broken(
    capacity: Capacity, row: int, several: list[tuple[StepUse, Claim]], *, late: bool
) -> tuple[int, Conflict] | None:
    if len(several) < 2:
        return None
    free, tolerance = capacity.rows[row], capacity.tolerances[row]
    for slot in _looked_at(several, late=late):
        here = [(use, claim) for use, claim in several if use.begin <= slot < use.end]
        if len(here) < 2:
            continue
        pair = _too_far(here, tolerance)
        if pair is not None:
            return slot, Conflict(pair)
        # Until one of them ends only what is free changes: the least of it decides.
        until = min(use.end for use, _ in here)
        lowest = slot + int(free[slot:until].argmin())
        if sum(claim[1] for _, claim in here) > free[lowest]:
            few = _few(here, int(free[lowest]))
            needed = sum(claim[1] for _, claim in few)
            return slot, Conflict(tuple(use for use, _ in few), _short(free < needed, lowest))
    return None


def _short(short: npt.NDArray[np.bool_], slot: int) -> tuple[int, int]:
    """Return the run of slots around one in which there is too little."""
    before, behind = np.flatnonzero(~short[:slot]), np.flatnonzero(~short[slot:])
    return int(before[-1]) + 1 if len(before) else 0, slot + int(behind[0]) if len(behind) else len(short)


def _looked_at(several: list[tuple[StepUse, Claim]], *, late: bool) -> Iterable[int]:
    return sorted({slot for use, _ in several for slot in (use.begin, use.end)}, reverse=late)


def _too_far(here: list[tuple[StepUse, Claim]], tolerance: float | None) -> tuple[StepUse, StepUse] | None:
    warm = [] if tolerance is None else [(claim[2], use) for use, claim in here if claim[2] != COOL]
    if len(warm) < 2 or tolerance is None:
        return None
    coldest, hottest = min(warm, key=lambda one: one[0]), max(warm, key=lambda one: one[0])
    return (coldest[1], hottest[1]) if hottest[0] - coldest[0] > tolerance else None


def _few(here: list[tuple[StepUse, Claim]], free: int) -> list[tuple[StepUse, Claim]]:
    """Return few of the steps that are too much together already: fewer pairs to branch on."""
    needed = sum(claim[1] for _, claim in here)
    left = []
    for use, claim in sorted(here, key=lambda one: one[1][1]):
        if needed - claim[1] > free:
            needed -= claim[1]
        else:
            left.append((use, claim))
    return left
