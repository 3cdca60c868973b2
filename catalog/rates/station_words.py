"""What a plan counts of a station, in words: how many alike, their places, temperatures, times out of order."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import time, timedelta
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext, ngettext

from catalog.rates.models import Station, StationOut
from catalog.web import display
from catalog.web.plan_fields import difference_written
from costing.contract.plan_bounds import SAFE_TOLERANCE_C

_MIDNIGHT: Final = time(0)
#: Orders that are named beside a time out of order; those beyond are counted.
_MOST: Final = 4


@dataclass(frozen=True, slots=True)
class OutShown:
    """A time out of order as a page shows it; ``promised`` names what leaves in it or on the day after."""

    pk: int
    span: str
    count: int
    reason: str
    promised: str


def counted_words(station: Station, outs: Iterable[StationOut]) -> str:
    """Write what a plan counts of a station: 3 alike, 4 places each; one is out of order …"""
    return "; ".join([_alike(station), *(_out_words(station, out) for out in outs)])


def _alike(station: Station) -> str:
    if station.places is None:
        if station.count == 1:
            return gettext("One; its places are not entered, so it counts as one place")
        words = gettext("%(count)s alike; their places are not entered, so each counts as one place")
        return words % {"count": station.count}
    if station.count == 1:
        words = ngettext("One, with %(places)s place", "One, with %(places)s places", station.places)
        return words % {"places": station.places}
    words = ngettext(
        "%(count)s alike, %(places)s place each", "%(count)s alike, %(places)s places each", station.places
    )
    return words % {"count": station.count, "places": station.places}


def _out_words(station: Station, out: StationOut) -> str:
    if station.count == 1:
        words = gettext("it is out of order %(span)s")
    elif out.count == 1:
        words = gettext("one is out of order %(span)s")
    else:
        words = gettext("%(count)s are out of order %(span)s")
    words %= {"count": out.count, "span": span_words(out)}
    return gettext("%(words)s: %(reason)s") % {"words": words, "reason": out.reason} if out.reason else words


def span_words(out: StationOut) -> str:
    """Write from when to when it is: Dec 1, 2026 to Dec 3, 2026, with hours where it is not whole days."""
    whole = out.begins == out.ends == _MIDNIGHT
    last = out.last_day - timedelta(days=1) if whole else out.last_day
    if whole and last == out.first_day:
        return display.short_day(last)
    start, end = display.short_day(out.first_day), display.short_day(last)
    if not whole:
        start = f"{start}, {display.clock(out.begins)}"
        end = display.clock(out.ends) if last == out.first_day else f"{end}, {display.clock(out.ends)}"
    return gettext("%(start)s to %(end)s") % {"start": start, "end": end}


def tolerance_words(station: Station, degrees: str) -> str:
    """Write how far temperatures in it may lie apart; empty for what is no oven and states nothing."""
    if station.tolerance_c is not None:
        words = gettext("Loads at the same time may be up to %(apart)s apart.")
        return words % {"apart": difference_written(station.tolerance_c, degrees)}
    if station.kind != Station.Kind.OVEN:
        return ""
    words = gettext("No temperature difference is entered: loads up to %(apart)s apart count as going in together.")
    return words % {"apart": difference_written(Decimal(int(SAFE_TOLERANCE_C)), degrees)}


def outs_shown(outs: Iterable[tuple[StationOut, Sequence[str]]]) -> list[OutShown]:
    """Write the times out of order, each with the names of the orders promised in it."""
    return [OutShown(out.pk, span_words(out), out.count, out.reason, _promised(names)) for out, names in outs]


def _promised(names: Sequence[str]) -> str:
    more = len(names) - _MOST
    shown = names if more <= 0 else [*names[:_MOST], gettext("%(count)s more") % {"count": more}]
    return display.joined(shown)
