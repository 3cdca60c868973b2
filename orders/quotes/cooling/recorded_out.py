"""Times out of the cold that the owner's records state: no paper says another one beside them.

A record is what is measured instead of a cooling rule, and the words on a product of how to hold it. A shorter time
counts. A longer one counts as the rule's own longer clause where that asks for a measurement; where the rule has none,
nothing is said of hours.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from catalog.cooling.amounts import Units
from catalog.cooling.selectors import ProductCold
from costing.chilling import TimeOutLimit
from costing.contract import Book
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.selectors import item_of, overrides_of, ruled_table
from orders.quotes.models import CoolingOverride, Quote

_SENTENCE: Final = re.compile(r"(?<=[.!?;])\s+|\n+|;")
#: Words that speak of food that stands out, whatever else the sentence says.
_STANDS_OUT: Final = re.compile(
    r"\b(?:out\s+of\s+(?:the\s+)?(?:cold|fridge|refrigerator|refrigeration|chiller|cooler)|out\s+for|out\s+at\s+most|at\s+most\s+out"
    r"|on\s+(?:(?:the|a|your)\s+)?(?:\w+\s+)?(?:table|buffet|display|counter|sideboard)|room\s+temperature)\b",
    re.IGNORECASE,
)
#: What is thrown away, or not served, if it was measured too warm while it cools: that has no time out of the cold.
_TOO_WARM: Final = re.compile(
    r"\b(?:if|unless|when|where)\b.*(?:°|\b(?:above|warmer|over\s+\d|not\s+(?:at|below|down|under))\b)", re.IGNORECASE
)
_PROBED: Final = re.compile(r"\b(?:prob\w*|measur\w*|readings?|core)\b", re.IGNORECASE)
_SERVED: Final = re.compile(r"\b(?:serve[ds]?|serving|eat(?:en)?)\b", re.IGNORECASE)
#: Words that speak of food that stands out, is served or is thrown away, and not of how it cools.
_OUT: Final = re.compile(
    r"\b(?:out\s+of\s+(?:the\s+)?(?:cold|fridge|refrigerator|refrigeration|chiller|cooler)|out\s+for|out\s+at\s+most|at\s+most\s+out"
    r"|serve[ds]?|serving|eat(?:en)?|on\s+(?:the\s+)?(?:table|buffet|display)|room\s+temperature|throw(?:n)?|discard(?:ed)?)\b",
    re.IGNORECASE,
)
_DURATION: Final = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(?:-|\u2011)?\s*(hours?|hrs?|h|minutes?|mins?|min)\b(?:\s*(\d+)\s*(?:minutes?|mins?|min)\b)?",
    re.IGNORECASE,
)


def out_minutes_in(text: str) -> int | None:
    """Return the shortest time out of the cold that words state [min]; None where they state none.

    A sentence counts that speaks of serving, of standing out or of throwing away; times at which something is measured
    while it cools are none, also where it is thrown away if it is too warm then.
    """
    return min(_times_out(text), default=None)


def most_out_in(text: str) -> int | None:
    """Return the longest such time [min]: what a text allows at most."""
    return max(_times_out(text), default=None)


def _times_out(text: str) -> list[int]:
    found = (
        _minutes(*match.groups())
        for sentence in _SENTENCE.split(text)
        if _STANDS_OUT.search(sentence) or (_OUT.search(sentence) and not _while_it_cools(sentence))
        for match in _DURATION.finditer(sentence)
    )
    return [one for one in found if one > 0]


def _while_it_cools(sentence: str) -> bool:
    """Return whether a sentence is about a measurement while it cools, and what follows from it."""
    thrown = bool(_PROBED.search(sentence)) and not _SERVED.search(sentence)
    return thrown or bool(_TOO_WARM.search(sentence))


def _minutes(figure: str, unit: str, more: str | None) -> int:
    value = float(figure.replace(",", "."))
    return round(value * 60) + int(more or 0) if unit[0] in "hH" else round(value)


def recorded_out(overrides: Iterable[CoolingOverride], units: Units, book: Book) -> dict[str, int]:
    """Return by product code the shortest time out of the cold that records state, of a product or a batch in it."""
    found: dict[str, int] = {}
    for one in overrides:
        minutes = out_minutes_in(one.measured)
        for code in _codes(one, units, book) if minutes is not None else ():
            found[code] = min(minutes or 0, found.get(code, minutes or 0))
    return found


def _codes(one: CoolingOverride, units: Units, book: Book) -> list[str]:
    if one.product is not None:
        return [one.product.code]
    recipe = one.recipe.code if one.recipe is not None else ""
    return [
        code
        for code, count in units.items()
        if any(hot.recipe.code == recipe for hot in hot_batches({code: count}, book))
    ]


def recorded_now(quote: Quote, units: Units, book: Book) -> Mapping[str, int]:
    """Return the same by a quote's records that count for today's steps and verdict; a query, more where one is."""
    rows = overrides_of([quote.pk])[quote.pk]
    if not any(out_minutes_in(row.measured) for row in rows.values()):
        return {}
    ruled = ruled_table(quote, units, book)
    standing = [one for broken in ruled.broken if (one := ruled.standing(broken)) is not None]
    return recorded_out((rows[item_of(one)] for one in standing), units, book)


def by_record(cold: ProductCold, minutes: int | None, *, stated: int | None = None) -> ProductCold:
    """Return how a product is kept with the time out that a record states [min]; ``stated`` is in its own words.

    Its own words only shorten the rule's time; a record may also take the rule's longer one, or leave it unsaid.
    """
    out = cold.out
    if out is None or out.clause is None:
        return cold
    if minutes is not None and minutes > out.minutes:
        longer = next((one for one in out.longer if round(one.minutes) == minutes), None)
        out = None if longer is None else TimeOutLimit(longer.minutes, longer, used=out.used)
        cold = replace(cold, out=out)
    shortest = min((one for one in (minutes, stated) if one is not None), default=None)
    return cold if shortest is None else _shortened(cold, shortest)


def _shortened(cold: ProductCold, minutes: int) -> ProductCold:
    out = cold.out
    if out is None or out.clause is None or minutes >= out.longest_minutes:
        return cold
    clause = replace(out.clause, minutes=float(minutes), under=False, back_minutes=None)
    return replace(cold, out=TimeOutLimit(float(minutes), clause))
