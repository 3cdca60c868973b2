"""How a dessert is to be held, in words: how cold, how long out of the cold, and what then."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.cold_holding import holds_cold
from catalog.cooling.selectors import ProductCold
from catalog.recipes.room_sources import Basis
from catalog.recipes.source_presenters import basis_words
from catalog.web import display
from costing.chilling import TimeOutClause, TimeOutLimit
from orders.quotes.draft.cooling import OutFrom

_ROOM: Final = marked("Safe at room temperature, by %(basis)s.")


def holding_words(one: ProductCold, out_from: OutFrom) -> str:
    """Write how to hold a dessert: how cold, unless its own text says so; how long out of the cold, and what then."""
    keep = _keep_words(one)
    if one.out is None:
        return f"{keep}." if keep else ""
    if one.out.clause is None:
        return gettext("%(keep)s until it is served.") % {"keep": keep}
    if one.out.longest_minutes < 1:
        # Its own steps use all of it up.
        return gettext("%(keep)s until it is served.") % {"keep": keep or gettext("Keep cold")}
    limit = " ".join(filter(None, (_limit_words(one.out, one.out.clause, out_from), used_words(one.out.used))))
    return ". ".join(filter(None, (keep, limit)))


def used_words(minutes: float) -> str:
    """Write why the time out of the cold is shorter than the rule's: what was spent of it in the kitchen [min]."""
    if minutes < 1:
        return ""
    return gettext("It is shorter because the work in our kitchen takes %(used)s of the time.") % {
        "used": display.duration(minutes)
    }


def hold_words(celsius: float) -> str:
    """Write how cold something is kept of which nothing says it, and which has no hours out of the cold."""
    return gettext("Keep at %(limit)s or colder until it is served") % {"limit": display.temperature(celsius)} + "."


def room_words(bases: Iterable[Basis]) -> str:
    """Write what shows that something is safe at room temperature; empty where it takes nothing to show it."""
    found = basis_words(bases)
    return gettext(_ROOM) % {"basis": found} if found else ""


def both_held(own: str, words: str) -> str:
    """Return a text on holding with the rule's words, which stand first unless the text itself says to keep it cold."""
    texts = (own, words) if holds_cold(own) else (words, own)
    return "\n".join(filter(None, texts))


def unrepeated(own: str, words: str, cold: ProductCold | None = None) -> str:
    """Return a text on holding without the lines that words after it say again, or that today's limit replaces.

    What was safe at room temperature when it was sent, and is kept cold by now, is not called safe beside that.
    """
    replaced = "" if cold is None or cold.holds_c is None else hold_words(cold.holds_c)
    room = gettext(_ROOM).partition("%(basis)s")[0]
    lines = (line for line in own.splitlines() if line != replaced and not (words and line.startswith(room)))
    return "\n".join(line for line in lines if not words.startswith(line.rstrip(" .")))


def _keep_words(one: ProductCold) -> str:
    keep = gettext("Keep at %(limit)s or colder")
    if one.times:
        return keep % {"limit": display.temperature(one.times[-1].limit_c)}
    if one.holds_c is None:
        return ""
    if one.out is None:
        keep = gettext("Keep at %(limit)s or colder until it is served")
    return keep % {"limit": display.temperature(one.holds_c)}


#: Whether less than the limit or at most the limit, and whether once or in all -> the sentence.
_LIMITS: Final = {
    (True, True): marked(
        "Less than %(most)s out of the cold once only, on the way, setting up and on the table together; then throw "
        "it away."
    ),
    (True, False): marked(
        "Less than %(most)s out of the cold in all, on the way, setting up and on the table together; then throw it "
        "away."
    ),
    (False, True): marked(
        "At most %(most)s out of the cold once only, on the way, setting up and on the table together; then throw it "
        "away."
    ),
    (False, False): marked(
        "At most %(most)s out of the cold in all, on the way, setting up and on the table together; then throw it away."
    ),
}


def _limit_words(out: TimeOutLimit, clause: TimeOutClause, out_from: OutFrom) -> str:
    most = display.duration(out.allowed_minutes)
    if clause.kind == "house":
        serve = gettext("Serve within %(most)s of %(begin)s; then throw away what is left.")
        return serve % {"most": most, "begin": _out_from_words(out_from, out)}
    if out.back_minutes is not None:
        two = gettext(
            "Add up all times out of the cold, on the way, setting up and on the table: under %(back)s it may go back "
            "into the cold; from %(back)s on eat it and do not put it back; from %(most)s on throw it away."
        )
        return two % {"back": display.duration(out.back_minutes), "most": most}
    return gettext(_LIMITS[out.under, clause.kind == "defence"]) % {"most": most}


_OUT_FROM: Final = {
    "leaving": marked("our leaving"),
    "unloading": marked("our unloading it"),
    "pickup": marked("picking it up"),
}
#: Place -> the same with the planned time, and until when it lasts.
_PLANNED: Final = {
    "leaving": marked("our leaving, so by %(until)s (we plan to leave at %(clock)s)"),
    "unloading": marked("our unloading it, so by %(until)s (we plan to unload at %(clock)s)"),
}


def _out_from_words(out_from: OutFrom, out: TimeOutLimit) -> str:
    """Write from when the time counts; where that is planned, until when it lasts."""
    if out_from.moment is None:
        return gettext(_OUT_FROM[out_from.place])
    until = out_from.moment + timedelta(minutes=out.allowed_minutes)
    return gettext(_PLANNED[out_from.place]) % {
        "until": display.clock(until),
        "clock": display.clock(out_from.moment),
    }
