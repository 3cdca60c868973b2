"""Lanes of the outbox: work of one lane waits for each other and for nothing else.

Mail waits for somebody else's server, a PDF for the processor, a price list or an export for its length: each has a
lane of its own, so that a mail server that stalls or a long file delays nothing of the other kinds.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from django.conf import settings


@dataclass(frozen=True, slots=True)
class Lane:
    """The kinds of work that are done one after the other, and the most seconds one piece of it may take."""

    name: str
    kinds: tuple[str, ...]
    seconds: int


def lanes() -> Iterator[Lane]:
    """Return the lanes of ``settings.OUTBOX_LANES``."""
    for name, lane in settings.OUTBOX_LANES.items():
        yield Lane(name, tuple(lane["kinds"]), lane["seconds"])


def lane_of(kind: str) -> Lane:
    """Return the lane of a kind of work.

    Raises KeyError if no lane names the kind.
    """
    for lane in lanes():
        if kind in lane.kinds:
            return lane
    raise KeyError(kind)
