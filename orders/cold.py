"""What cooling says about a table, in words: what never gets cold, how long it may be out, what to look at."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil

from django.urls import NoReverseMatch, reverse

from catalog import display
from catalog.models import Kitchen
from catalog.selectors.cooling import ColdTime, ProductCold
from costing.book import Book
from costing.chilling import POINTS, Longest
from orders.models import Enquiry

Cold = Mapping[str, ProductCold]

#: How much warmer the air is at the slow end than what was entered [°C].
_WARMER = next(point.air_c for point in POINTS if point.name == "slow")


@dataclass(frozen=True, slots=True)
class ColdNote:
    """A sentence for the owner, and the page that says more."""

    sentence: str
    link: str = ""


def cooling_page(one: ProductCold) -> str:
    """Return the address of the page on which a product's cooling stands."""
    try:
        return reverse("product-cooling", args=[one.product_id])
    except NoReverseMatch:
        return ""


def most_out(out: Longest | None) -> int | None:
    """Return the whole minutes something may be out of the cold; None without end.

    A rule's time is taken as printed. An estimate is taken down to five minutes.
    """
    if out is None:
        return None
    whole = int(out.minutes)
    return whole if out.clause is not None or whole < 5 else whole - whole % 5


def away_minutes(enquiry: Enquiry, kitchen: Kitchen) -> int:
    """Return how long a delivery is out of the cold before it is handed over: the way, and setting the table up.

    In a refrigerated vehicle the way is no time out of the cold.
    """
    if enquiry.hand_over != Enquiry.HandOver.DELIVERY:
        return 0
    way = 0 if kitchen.vehicle_cold else (enquiry.minutes or 0)
    return ceil(way + (enquiry.setup_minutes or 0))


def holding_words(one: ProductCold) -> str:
    """Say how to hold something that was cooled: how cold, how long out of the cold, and what then."""
    if not one.times:
        return ""
    limit, most = display.temperature(one.times[-1].limit_c), most_out(one.out)
    kept = f"Keep at {limit} or colder."
    if one.out is None or most is None:
        return kept
    then = "then throw it away" if one.out.clause else f"after that its inside is warmer than {limit}"
    return (
        f"{kept} At most {display.duration(most)} out of the cold in all, on the way, setting up and on the table "
        f"together; {then}."
    )


def never_cold(cold: Cold, book: Book) -> tuple[str, str, ProductCold] | None:
    """Say what never gets cold where it chills, what it takes, and which product it is; None when all of it does."""
    for code, one in cold.items():
        for time in one.times:
            if time.never:
                return _never(book.product(code).name, time), _takes(time), one
    return None


def _never(name: str, time: ColdTime) -> str:
    limit, air = (display.temperature(each) for each in (time.limit_c, time.air_c))
    place = time.place if time.place.startswith("the ") else f"the {time.place}"
    return f"{name} never gets to {limit} in {place} at {air}, at the slow end of the estimate."


def _takes(time: ColdTime) -> str:
    """Say what helps: in air that is itself no colder than the limit at the slow end, nothing but colder air does."""
    if time.air_c + _WARMER >= time.limit_c:
        warmest = display.temperature(time.limit_c - _WARMER)
        return f"It takes air colder than {warmest}: no window works until then."
    return "It takes colder air, less depth or a fan: no window works until then."


def notes(cold: Cold, book: Book, enquiry: Enquiry) -> tuple[ColdNote, ...]:
    """Say what the owner should look at: rules not kept, estimates that end early, and the limit for who collects."""
    found = [note for code, one in cold.items() for note in _notes_of(book.product(code).name, one)]
    return (*dict.fromkeys(found), *_collected(cold, book, enquiry))


def _notes_of(name: str, one: ProductCold) -> Iterator[ColdNote]:
    if one.missing:
        told = f"How {name} cools cannot be worked out: {one.missing} Until then its stated minutes count."
        yield ColdNote(told, cooling_page(one))
    for time in one.times:
        told = _judged(name, time)
        if told:
            yield ColdNote(told, cooling_page(one))


def _judged(name: str, time: ColdTime) -> str:
    if time.freezing is not None:
        after = display.duration(time.freezing.minutes)
        return (
            f"{name} freezes at its rim after {after} of “{time.freezes_in}”, before its middle is cold. The estimate "
            f"ends there, so the stated minutes of “{time.name}” count."
        )
    if time.verdict == "not kept":
        return f"{name} does not get cold in the time the rule asks for ({time.rule}). Whether it may go is for you."
    if time.verdict == "likely":
        return f"{name} just about gets cold in time, but not at the slow end of the estimate ({time.rule})."
    return ""


def _collected(cold: Cold, book: Book, enquiry: Enquiry) -> Iterator[ColdNote]:
    """Tell the limit for what is collected: how long the customer's way takes is not known."""
    if enquiry.hand_over != Enquiry.HandOver.PICKUP:
        return
    by_most: dict[int, list[str]] = {}
    for code, one in cold.items():
        most = most_out(one.out)
        if most is not None:
            by_most.setdefault(most, []).append(book.product(code).name)
    for most, names in sorted(by_most.items()):
        told = f"Once collected, {display.joined(names)} may be out of the cold for {display.duration(most)} at most."
        yield ColdNote(f"{told} The quote says so.")


@dataclass(frozen=True, slots=True)
class _Away:
    """A delivery's time out of the cold against what its products may be out."""

    way: int
    setup: int
    refrigerated: bool

    @property
    def whole(self) -> int:
        return self.way + self.setup

    @property
    def doing(self) -> str:
        """What takes the time, to begin a sentence with."""
        if self.way and self.setup:
            return "On the way and setting up takes"
        return "The way takes" if self.way else "Setting up takes"


def out_too_long(cold: Cold, book: Book, enquiry: Enquiry, kitchen: Kitchen) -> tuple[str, str] | None:
    """Say which dessert would be out of the cold for too long, and what works; None when all may be out so long."""
    whole = away_minutes(enquiry, kitchen)
    limits = {code: most for code, one in cold.items() if (most := most_out(one.out)) is not None and most < whole}
    if not limits:
        return None
    setup = min(whole, ceil(enquiry.setup_minutes or 0))
    away = _Away(whole - setup, setup, kitchen.vehicle_cold)
    least = min(limits.values())
    first = [code for code, most in limits.items() if most == least]
    names = display.joined([book.product(code).name for code in first])
    said = (
        f"{away.doing} {display.duration(away.whole)}; {names} may be out of the cold for {display.duration(least)} "
        f"at most ({_because(cold[first[0]])})."
    )
    boxed = [most_out(cold[code].boxed) for code in limits]
    return said, f"No other window helps. What does: {_either(list(_ways_out(away, least, boxed)))}."


def _because(one: ProductCold) -> str:
    if one.out is not None and one.out.clause is not None:
        return one.out.clause.source
    return f"after that its inside is warmer than {display.temperature(one.times[-1].limit_c)}; the rule states no time"


def _ways_out(away: _Away, least: int, boxed: list[int | None]) -> Iterator[str]:
    """Name what the numbers say works."""
    if away.way and least > away.setup:
        yield f"a way of at most {display.duration(least - away.setup)}"
    if away.setup and least > away.way:
        yield f"a set-up of at most {display.duration(least - away.way)}"
    if away.way and not away.refrigerated and away.setup <= least:
        yield "a refrigerated vehicle (say so in your profile)"
    if all(most is None or most >= away.whole for most in boxed):
        timed = [most for most in boxed if most is not None]
        yield f"an insulated box, in which it may be {display.duration(min(timed))}" if timed else "an insulated box"
    yield "collection by the customer, who is told the limit"


def _either(ways: list[str]) -> str:
    return " or ".join(part for part in ("; ".join(ways[:-1]), ways[-1]) if part)
