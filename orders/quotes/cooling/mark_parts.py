"""Whether a batch fails its rule, and what the mark of a verdict is made of: without what changes nothing."""

from collections.abc import Iterable
from dataclasses import replace

from catalog.cooling.selectors import ColdTime
from costing.chilling import Trial, is_unmet
from costing.contract import Step


def without_names(times: Iterable[ColdTime]) -> list[ColdTime]:
    """Return cold stages for a mark: what a step is called changes nothing."""
    return [replace(time, name="", freezes_in="") for time in times]


def without_notes(steps: Iterable[Step]) -> list[Step]:
    """Return steps for a mark, without name and note; a lid, which no mark of earlier days has, stands as the name."""
    return [replace(step, name="covered" if step.covered else "", text="") for step in steps]


def fails(found: Trial) -> bool:
    """Return whether a batch breaks its rule, cannot be judged because it freezes first, or may never get cold."""
    return is_unmet(found.verdict, timed=bool(found.legs)) or (found.cold_slow is None and found.freezes is None)
