"""Whether what an order hands over was cold in time, or it is said why it goes out, or what is served instead."""

from collections.abc import Collection, Sequence
from typing import Any

from orders.cooling_log.selectors import CoolingMark
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import (
    CoolingOpen,
    DiscardedGoesOut,
    DiscardedWithoutNote,
    MeasuresNothing,
    NamesNothingServed,
    NotNamed,
    RuleWasNotMet,
    SaysNothing,
    TooOld,
    TooOldWaits,
    WaitsForOwner,
)
from orders.records.real_words import names_of, says_measuring, says_served, says_something


def check_goes_out(marks: Collection[CoolingMark], note: str, left_out: Collection[Item], *, owner: bool) -> None:
    """Refuse what is discarded, not measured or too old and goes out without the answer it needs."""
    gone = [mark.name for mark in marks if mark.discarded and mark.item not in left_out]
    if gone:
        raise (DiscardedGoesOut if says_something(note) else DiscardedWithoutNote)(place="left_out", items=gone)
    unmeasured = [mark.name for mark in marks if mark.to_measure and not mark.too_old]
    if unmeasured and not owner:
        raise WaitsForOwner(place="note", items=unmeasured)
    old = [mark for mark in marks if mark.too_old]
    if old and not owner:
        raise TooOldWaits(**_old(old))
    still = [mark for mark in marks if not mark.settled]
    if still:
        _says_why(still, note)


def _old(marks: Sequence[CoolingMark]) -> dict[str, Any]:
    """Return the facts of a refusal of what is older than it keeps; the shortest that one of them keeps [min]."""
    keeps = min(mark.aged_min for mark in marks if mark.aged_min is not None)
    return {"place": "note", "items": [mark.name for mark in marks], "keeps": keeps}


def _says_why(still: Sequence[CoolingMark], note: str) -> None:
    """Refuse a note that does not say of each what was measured, or what is served instead."""
    bad = [mark.name for mark in still if mark.state in ("not_met", "missed")]
    open_ = [mark.name for mark in still if mark.state not in ("not_met", "missed")]
    if not says_something(note):
        if note.strip():
            raise SaysNothing(place="note", field="delivery_note", entered=note.strip())
        if bad:
            raise RuleWasNotMet(place="note", items=bad)
        old = [mark for mark in still if mark.too_old]
        raise TooOld(**_old(old)) if len(old) == len(still) else CoolingOpen(place="note", items=open_)
    if open_ and not says_measuring(note):
        raise MeasuresNothing(place="note", field="delivery_note", entered=note.strip())
    if bad and not says_served(note):
        raise NamesNothingServed(place="note", items=bad, entered=note.strip())
    unnamed = [name for name in (*bad, *open_) if not names_of(name, note)] if bad and open_ else []
    if unnamed:
        raise NotNamed(place="note", items=unnamed)
