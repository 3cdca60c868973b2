"""Where what freezes at its rim before its core is cold gets cold first: the kitchen's refrigerators and chillers."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from catalog.cooling.stages import CoolingCycle
from costing.chilling import FREEZES_C, Freezing, Trial, Verdict, trial
from costing.contract import Book, Station

#: Verdict -> its rank; what the rule says nothing of, or what breaks it, comes last.
_RANK: Final[dict[Verdict, int]] = {"kept": 0, "likely": 1}


@dataclass(frozen=True, slots=True)
class ColdFirst:
    """A place in which the core gets cold and the rim does not freeze.

    ``minutes`` is how long it takes there at the slow end [min], ``verdict`` that of the rule with it.
    """

    place: Station
    minutes: float
    verdict: Verdict


def cold_first(cycle: CoolingCycle, frozen: Freezing, book: Book) -> ColdFirst | None:
    """Return the place of the kitchen in which something cools before it is frozen; None where it has none.

    That which meets the rule goes before one that likely does, and then the fastest.
    """
    found = list(_tried(cycle, frozen, book))
    return min(found, key=lambda one: (_RANK.get(one.verdict, len(_RANK)), one.minutes), default=None)


def _tried(cycle: CoolingCycle, frozen: Freezing, book: Book) -> Iterator[ColdFirst]:
    stage = cycle.stages[frozen.stage]
    before = cycle.begins[frozen.stage]
    for station in book.stations:
        if station.kind not in ("refrigerator", "freezer") or station.air_c is None or station == stage.station:
            continue
        if FREEZES_C <= float(station.air_c) < cycle.plan.cold_c:
            instead = cycle.plan.surroundings.stage(station.air, stage.minutes, float(station.air_c))
            result: Trial = trial(replace(cycle.plan, stages=(*cycle.plan.stages[: frozen.stage], instead)))
            if result.freezes is None and result.cold_slow is not None and not result.never:
                yield ColdFirst(station, max(0.0, result.cold_slow - before), result.verdict)
