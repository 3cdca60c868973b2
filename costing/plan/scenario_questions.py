"""Reads the questions of a scenario."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from costing.contract.errors import Path
from costing.plan.clocks import Clock
from costing.plan.problem import Span
from costing.plan.scenario_reading import ScenarioReading

EARLIEST_READY, LATEST_START, FEASIBLE, BATCHES = "earliest_ready", "latest_start", "feasible", "batches"
ASKS: dict[str, tuple[str, ...]] = {
    EARLIEST_READY: (),
    LATEST_START: ("window",),
    FEASIBLE: ("window",),
    BATCHES: ("line",),
}
"""What can be asked, to what it needs."""
FEWEST = "fewest batches, as equal as possible"
_EXPECTED = ("answer", "reason", "note", "derivation", "plan")


@dataclass(frozen=True, slots=True)
class Line:
    """Pieces that are made in molds and baked.

    Parameters
    ----------
    pieces : int
        How many.
    most : int
        How many one batch can have.
    """

    pieces: int
    most: int


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Parameters
    ----------
    ask : str
        One of `ASKS`.
    window : tuple of (int, int) or None
        When the order may leave [min].
    replan : bool
        Whether what is promised may be planned anew inside its windows.
    line : Line or None
        What is divided into batches.
    """

    ask: str
    window: Span | None = None
    replan: bool = False
    line: Line | None = None


def read_questions(
    reading: ScenarioReading, top: Mapping[str, Any], clock: Clock, *, inquiry: bool
) -> tuple[Question, ...]:
    """Read the questions.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    top : mapping of str to object
        The scenario.
    clock : Clock
        The kitchen's clock.
    inquiry : bool
        Whether the scenario has an inquiry.
    """
    found = []
    for path, value in reading.entries(top, "questions", ()):
        ask = reading.one_of(value, "ask", path, ASKS, "question") if isinstance(value, dict) else None
        more = ("window", "replan", "line") if ask is None else ()
        owner = reading.object(value, path, ("ask", *ASKS.get(ask or "", ())), (*more, "replan", *_EXPECTED))
        if ask is None:
            continue
        if ask != BATCHES and not inquiry:
            reading.note("schema", path, "This asks about an inquiry, and there is none. Add “enquiry”.")
        window = (
            reading.window(owner["window"], (*path, "window"), clock) if "window" in ASKS[ask] & owner.keys() else None
        )
        # The latest start is asked with everything movable; the earliest time with the plan as it is.
        replan = reading.flag(owner, "replan", path) if "replan" in owner else ask == LATEST_START
        line = _line(reading, owner["line"], (*path, "line")) if ask == BATCHES and "line" in owner else None
        found.append(Question(ask, window, replan, line))
    return tuple(found)


def _line(reading: ScenarioReading, value: Any, path: Path) -> Line | None:
    keys = ("tins", "oven_places", "tins_per_piece", "rule", "note")
    owner = reading.object(value, path, ("pieces",), keys)
    if "rule" in owner and owner["rule"] != FEWEST:
        reading.note("schema", (*path, "rule"), f"This rule is not known. Write “{FEWEST}”.")
    pieces = reading.whole(owner, "pieces", path)
    each = reading.whole(owner, "tins_per_piece", path, 1, default=1)
    errors = len(reading.errors)
    places = [reading.whole(owner, key, path) for key in ("tins", "oven_places") if key in owner]
    most = min(places) // each if places else pieces
    if pieces and not most and len(reading.errors) == errors:
        reading.note("too_large", path, "One piece takes more than there is. Give more tins or oven places.")
    return Line(pieces, most)


def batches(line: Line) -> list[int]:
    """Return the pieces of each batch: as few batches as possible, as equal as possible, the larger first.

    Parameters
    ----------
    line : Line
        What is divided.
    """
    if not line.pieces:
        return []
    count = -(-line.pieces // line.most)
    whole, more = divmod(line.pieces, count)
    return [whole + 1] * more + [whole] * (count - more)
