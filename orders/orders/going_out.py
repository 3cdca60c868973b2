"""Whether what an order hands over was cold in time, or it is said why it goes out, or what is served instead."""

from collections.abc import Collection, Sequence
from decimal import Decimal
from typing import Any

from catalog.cooling.selectors import rule_in_force
from catalog.records.real_words import says_something
from costing.chilling import COLD_C
from orders.cooling_log.deadlines import at_most
from orders.cooling_log.open_names_content import measured_name
from orders.cooling_log.selectors import CoolingMark
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import (
    CoolingOpen,
    DiscardedGoesOut,
    DiscardedWithoutNote,
    NamesNothingServed,
    NotNamed,
    RuleWasNotMet,
    SaysNothing,
    TooOld,
    TooOldWaits,
    TooWarmToGo,
    WaitsForOwner,
)
from orders.records.real_words import names_of, says_served


def check_goes_out(
    marks: Collection[CoolingMark], note: str, core: Decimal | None, left_out: Collection[Item], *, owner: bool
) -> None:
    """Refuse what is discarded, not measured or too old and goes out without the answer it needs.

    ``core`` is the core temperature of what nothing shows to be cold, at the hand-over [°C].
    """
    gone = [mark.name for mark in marks if mark.discarded and mark.item not in left_out]
    if gone:
        raise (DiscardedGoesOut if says_something(note) else DiscardedWithoutNote)(place="left_out", items=gone)
    unmeasured = [measured_name(mark) for mark in marks if mark.to_measure and not mark.too_old]
    if unmeasured and not owner:
        raise WaitsForOwner(place="note", items=unmeasured)
    old = [mark for mark in marks if mark.too_old]
    if old and not owner:
        raise TooOldWaits(**_old(old))
    still = [mark for mark in marks if not mark.settled]
    if still:
        _says_why(still, note)
        _is_cold([measured_name(mark) for mark in still if asks_core(mark)], core)


def asks_core(mark: CoolingMark) -> bool:
    """Return whether something goes out only with its core temperature: nothing shows that it was cold in time."""
    return not (mark.settled or mark.discarded or mark.too_old or mark.state in ("not_met", "missed"))


def _is_cold(items: list[str], core: Decimal | None) -> None:
    if not items:
        return
    if core is None:
        raise CoolingOpen(place="core", items=items)
    cold_c = rule_in_force().cold_c
    limit_c = COLD_C if cold_c is None else cold_c
    if not at_most(core, limit_c):
        raise TooWarmToGo(place="core", items=items, core=core, limit_c=limit_c)


def _old(marks: Sequence[CoolingMark]) -> dict[str, Any]:
    """Return the facts of a refusal of what is older than it keeps; the shortest that one of them keeps [min]."""
    keeps = min(mark.aged_min for mark in marks if mark.aged_min is not None)
    return {"place": "note", "items": [mark.name for mark in marks], "keeps": keeps}


def _says_why(still: Sequence[CoolingMark], note: str) -> None:
    """Refuse a note that says nothing, or not what is served instead of what was not cold in time."""
    bad = [mark.name for mark in still if mark.state in ("not_met", "missed")]
    left = [mark for mark in still if mark.state not in ("not_met", "missed")]
    open_ = [mark.name for mark in left]
    if not says_something(note):
        if note.strip():
            raise SaysNothing(place="note", field="delivery_note", entered=note.strip())
        if bad:
            raise RuleWasNotMet(place="note", items=bad)
        old = [mark for mark in still if mark.too_old]
        if len(old) == len(still):
            raise TooOld(**_old(old))
        raise CoolingOpen(place="note", items=[measured_name(mark) for mark in left])
    if bad and not says_served(note):
        raise NamesNothingServed(place="note", items=bad, entered=note.strip())
    unnamed = [name for name in (*bad, *open_) if not names_of(name, note)] if bad and open_ else []
    if unnamed:
        raise NotNamed(place="note", items=unnamed)
