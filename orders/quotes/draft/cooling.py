"""What cooling says about a table, in words: what never gets cold, how long it may be out, what to look at."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import ceil

from django.urls import reverse

from catalog.cooling.missing_presenters import missing_sentence
from catalog.cooling.selectors import ColdTime, ProductCold
from catalog.kitchen.models import Kitchen
from catalog.web import display
from costing.chilling import POINTS, Verdict
from costing.contract import Book
from orders.inquiries.models import Inquiry

Cold = Mapping[str, ProductCold]

#: How much warmer the air is at the slow end than what was entered [°C].
_WARMER = next(point.air_c for point in POINTS if point.name == "slow")


@dataclass(frozen=True, slots=True)
class ColdNote:
    """A sentence for the owner, and the pages that say more: their words and addresses."""

    sentence: str
    pages: tuple[tuple[str, str], ...] = ()


def cooling_page(one: ProductCold) -> str:
    """Return the address of the page on which a product's cooling stands."""
    return reverse("product-cooling", args=[one.product_id])


def away_minutes(inquiry: Inquiry, kitchen: Kitchen) -> int:
    """Return how long a delivery is out of the cold before it is handed over: the way, and setting the table up.

    In a refrigerated vehicle the way is no time out of the cold.
    """
    if inquiry.hand_over != Inquiry.HandOver.DELIVERY:
        return 0
    way = 0 if kitchen.vehicle_cold else (inquiry.minutes or 0)
    return ceil(way + (inquiry.setup_minutes or 0))


def holding_words(one: ProductCold) -> str:
    """Say how to hold something that was cooled: how cold, how long out of the cold, and what then."""
    if not one.times:
        return ""
    limit = display.temperature(one.times[-1].limit_c)
    if one.out is None:
        return f"Keep at {limit} or colder."
    most = one.out.told_minutes
    if one.out.clause is None:
        soon = f"after about {display.duration(most)}" if most else "at once"
        return f"Keep at {limit} or colder until it is served. Out of the cold its inside is warmer than that {soon}."
    return (
        f"Keep at {limit} or colder. At most {display.duration(most)} out of the cold in all, on the way, setting up "
        f"and on the table together; then throw it away."
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


def out_too_long(cold: Cold, book: Book, inquiry: Inquiry, kitchen: Kitchen) -> tuple[str, str] | None:
    """Say which dessert would be out of the cold for longer than the rule states, and what works.

    None when none is. A time that is only an estimate, because the rule states none, refuses nothing: see ``notes``.
    """
    whole = away_minutes(inquiry, kitchen)
    stated = {code: one.out for code, one in cold.items() if one.out is not None and one.out.clause is not None}
    limits = {code: most for code, out in stated.items() if (most := out.told_minutes) < whole}
    if not limits:
        return None
    setup = min(whole, ceil(inquiry.setup_minutes or 0))
    least = min(limits.values())
    first = [code for code, most in limits.items() if most == least]
    names, clause = _named(first, book), stated[first[0]].clause
    said = (
        f"{_doing(whole - setup, setup)} {display.duration(whole)}; {names} may be out of the cold for "
        f"{display.duration(least)} at most{f' ({clause.source})' if clause else ''}."
    )
    ways = list(_ways_out(whole - setup, setup, least, refrigerated=kitchen.vehicle_cold))
    return said, f"No other window helps. What does: {_either(ways)}."


def listed(names: Iterable[str]) -> str:
    """Write names as a sentence does; with semicolons where a name has a comma of its own."""
    each = list(names)
    return "; ".join(each) if len(each) > 1 and any("," in name for name in each) else display.joined(each)


def _named(codes: Iterable[str], book: Book) -> str:
    return listed(book.product(code).name for code in codes)


def _doing(way: int, setup: int) -> str:
    if way and setup:
        return "On the way and setting up takes"
    return "The way takes" if way else "Setting up takes"


def _ways_out(way: int, setup: int, least: int, *, refrigerated: bool) -> Iterator[str]:
    """Name what the numbers say works. A box keeps colder, but a time that a rule states runs in it too."""
    if way and least > setup:
        yield f"a way of at most {display.duration(least - setup)}"
    if setup and least > way:
        yield f"a set-up of at most {display.duration(least - way)}"
    if way and not refrigerated and setup <= least:
        yield "a refrigerated vehicle, when your profile says so"
    yield "collection by the customer, who is told the limit"


def _either(ways: list[str]) -> str:
    return "; or ".join(part for part in ("; ".join(ways[:-1]), ways[-1]) if part)


def notes(cold: Cold, book: Book, inquiry: Inquiry, kitchen: Kitchen) -> tuple[ColdNote, ...]:
    """Say what the owner should look at: rules not kept, estimates that end early, and how long it stays cold.

    A time that a rule states is refused when it is too short. One that is only an estimate, because the rule states
    none, is told: the rule leaves it to the kitchen. So is the limit for what the customer collects.
    """
    return (
        *_judged(cold, book),
        *(note for code, one in cold.items() for note in _stated_counts(book.product(code).name, one)),
        *_collected(cold, book, inquiry),
        *_warms(cold, book, inquiry, kitchen),
    )


_VERDICTS: Mapping[Verdict, str] = {
    "not kept": "{names}: not cold in the time the rule asks for ({rule}). Whether it may go is for you to decide.",
    "likely": "{names}: cold in time by the likeliest figures, but not at the slow end of the estimate ({rule}).",
}


def _judged(cold: Cold, book: Book) -> Iterator[ColdNote]:
    """Say which desserts do not keep their rule, those of one rule together."""
    found: dict[tuple[Verdict, str], dict[str, ProductCold]] = {}
    for code, one in cold.items():
        for time in one.times:
            if time.verdict in _VERDICTS and not time.never:
                found.setdefault((time.verdict, time.rule), {})[code] = one
    for (verdict, rule), products in found.items():
        said = _VERDICTS[verdict].format(rule=rule, names=_named(products, book))
        yield ColdNote(said, _pages(products, book))


def _pages(products: Cold, book: Book) -> tuple[tuple[str, str], ...]:
    of_one = len(products) == 1
    return tuple(
        ("How it cools" if of_one else f"How {book.product(code).name} cools", cooling_page(one))
        for code, one in products.items()
    )


def _stated_counts(name: str, one: ProductCold) -> Iterator[ColdNote]:
    """Say where the stated minutes count because the estimate does not say."""
    pages = (("How it cools", cooling_page(one)),)
    if one.missing:
        yield ColdNote(
            f"How {name} cools is not worked out; its stated minutes count. {missing_sentence(one.missing)}", pages
        )
    for time in one.times:
        if time.freezing is not None:
            after = display.duration(time.freezing.minutes)
            yield ColdNote(
                f"{name} freezes at its rim after {after} of “{time.freezes_in}”, before its middle is cold. The "
                f"estimate ends there, so the stated minutes of “{time.name}” count.",
                pages,
            )


def _collected(cold: Cold, book: Book, inquiry: Inquiry) -> Iterator[ColdNote]:
    """Tell the limit for what is collected: how long the customer's way takes is not known."""
    if inquiry.hand_over != Inquiry.HandOver.PICKUP:
        return
    by_most: dict[int, list[str]] = {}
    for code, one in cold.items():
        if one.out is not None and one.out.clause is not None:
            by_most.setdefault(int(one.out.minutes), []).append(code)
    for most, codes in sorted(by_most.items()):
        told = f"Once collected, {_named(codes, book)} may be out of the cold for {display.duration(most)} at most."
        yield ColdNote(f"{told} The quote says so.")


def _warms(cold: Cold, book: Book, inquiry: Inquiry, kitchen: Kitchen) -> Iterator[ColdNote]:
    """Tell what gets warmer than it is to be held before it is handed over, where the rule states no time."""
    whole = away_minutes(inquiry, kitchen)
    warm = {
        code: one
        for code, one in cold.items()
        if one.out is not None and one.out.clause is None and one.out.minutes < whole
    }
    if not warm:
        return
    limit = display.temperature(next(iter(warm.values())).times[-1].limit_c)
    each = "; ".join(f"{book.product(code).name} {_stays(one)}" for code, one in warm.items())
    yield ColdNote(
        f"Out of the cold for {display.duration(whole)} before it is handed over. The inside stays at {limit} or "
        f"colder, at the fast end of the estimate: {each}. The rule states no time: whether it takes a refrigerated "
        f"vehicle, ice packs or a shorter way is for you to judge.",
        _pages(warm, book),
    )


def _stays(one: ProductCold) -> str:
    bare, boxed = (None if out is None else out.told_minutes for out in (one.out, one.boxed))
    box = "without end" if boxed is None else display.duration(boxed)
    return f"for {display.duration(bare)} (in an insulated box {box})"
