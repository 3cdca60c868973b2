"""Sets of slots as whole numbers: bit t stands for slot t. Shifting is waiting, `&` is both.

`Runs` answers at which slots so many free ones begin, by doubling; the two floods draw a stay out through free slots.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np
import numpy.typing as npt

Starts = Callable[[int], int]
"""Number of slots to the set of slots at which so many free ones begin."""


def of_array(free: npt.NDArray[np.bool_]) -> int:
    """Return the set of the slots that are true.

    Parameters
    ----------
    free : ndarray of bool, shape (slots,)
        One value for each slot.
    """
    return int.from_bytes(np.packbits(free, bitorder="little").tobytes(), "little")


def span(begin: int, end: int) -> int:
    """Return the set of slots from one to before another.

    Parameters
    ----------
    begin : int
        First slot.
    end : int
        The slot behind the last; the set is empty when it is not behind the first.
    """
    return ((1 << (end - begin)) - 1) << begin if end > begin else 0


def first(slots: int) -> int:
    """Return the first slot of a set that is not empty.

    Parameters
    ----------
    slots : int
        A set of slots.
    """
    return (slots & -slots).bit_length() - 1


def last(slots: int) -> int:
    """Return the last slot of a set that is not empty.

    Parameters
    ----------
    slots : int
        A set of slots.
    """
    return slots.bit_length() - 1


def each(slots: int) -> Iterator[int]:
    """Yield the slots of a set from the first.

    Parameters
    ----------
    slots : int
        A set of slots.
    """
    while slots:
        low = slots & -slots
        yield low.bit_length() - 1
        slots ^= low


def stretches(slots: int) -> Iterator[tuple[int, int]]:
    """Yield first slot and the slot behind the last of each run of a set.

    Parameters
    ----------
    slots : int
        A set of slots.
    """
    begin = 0
    while slots:
        gap = first(slots)
        slots >>= gap
        begin += gap
        length = first(~slots)
        yield begin, begin + length
        slots >>= length
        begin += length


class Runs:
    """The slots that are free, and where runs of them begin.

    Parameters
    ----------
    free : int
        The set of free slots.
    """

    __slots__ = ("_doubled", "free")

    def __init__(self, free: int) -> None:
        self.free = free
        self._doubled = [free]

    def __call__(self, length: int) -> int:
        """Return at which slots so many free ones begin; every slot when none is asked for."""
        if length <= 0:
            return -1
        power = length.bit_length() - 1
        doubled = self._doubled
        while len(doubled) <= power:
            widest = doubled[-1]
            doubled.append(widest & (widest >> (1 << (len(doubled) - 1))))
        whole = doubled[power]
        return whole & (whole >> (length - (1 << power)))


def both(runs: Sequence[Runs]) -> Starts:
    """Return where runs begin that are free in all of them.

    Parameters
    ----------
    runs : sequence of Runs
        None: every slot is free.
    """
    if len(runs) == 1:
        return runs[0]

    def starts(length: int) -> int:
        found = -1
        for one in runs:
            found &= one(length)
        return found

    return starts


def drawn_out_before(slots: int, most: int, starts: Starts) -> int:
    """Return the slots from which a stay reaches one of a set through free slots.

    Parameters
    ----------
    slots : int
        Where it has to be.
    most : int
        Slots it may last.
    starts : callable of int to int
        Where runs of free slots begin.
    """
    done = 0
    while done < most and slots:
        step = min(done + 1, most - done)
        slots |= (slots >> step) & starts(step)
        done += step
    return slots


def drawn_out_after(slots: int, most: int, starts: Starts) -> int:
    """Return the slots that a stay reaches from one of a set through free slots.

    Parameters
    ----------
    slots : int
        Where it is.
    most : int
        Slots it may last.
    starts : callable of int to int
        Where runs of free slots begin.
    """
    done = 0
    while done < most and slots:
        step = min(done + 1, most - done)
        slots |= (slots & starts(step)) << step
        done += step
    return slots
