"""Cooling of a table: products that may never get cold, are out of the cold too long, or need a note for the owner."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from django.utils import timezone

from catalog.cooling.selectors import ColdTime, ProductCold
from catalog.cooling.warm_waits import warm_parts_of
from catalog.kitchen.models import Kitchen
from catalog.records.reasons import Reason
from costing.chilling import NOT_MET, POINTS, TimeOutLimit, Verdict
from costing.contract import Book, Estimate
from orders.inquiries.models import Inquiry

Cold = Mapping[str, ProductCold]

#: How much warmer the air is at the slow end than entered [°C].
_WARMER = next(point.air_c for point in POINTS if point.name == "slow")


@dataclass(frozen=True, slots=True)
class CooledProduct:
    """A product a note is about, for a link to its cooling page."""

    name: str
    product_id: int


@dataclass(frozen=True, slots=True)
class ColdNote:
    """A note for the owner, and the products to link to."""

    reason: Reason
    products: tuple[CooledProduct, ...] = ()

    @property
    def breaks_rule(self) -> bool:
        """Whether it says that the rule in force is not kept, or cannot be judged: all is not well."""
        timed = self.reason.code == "rim_freezes" and bool(self.reason.params["timed"])
        return self.reason.code == "rule_not_kept" or timed


@dataclass(frozen=True, slots=True)
class ColdRefusal:
    """Why no window is possible, and what helps; ``product_id`` is the product to link to."""

    reason: Reason
    instead: Reason
    product_id: int | None = None


def away_minutes(inquiry: Inquiry, kitchen: Kitchen) -> int:
    """Return how long a delivery is out of the cold before it is handed over [min]: travel and set-up.

    In a refrigerated vehicle travel does not count.
    """
    if inquiry.hand_over != Inquiry.HandOver.DELIVERY:
        return 0
    way = 0 if kitchen.vehicle_cold else (inquiry.minutes or 0)
    return ceil(way + (inquiry.setup_minutes or 0))


@dataclass(frozen=True, slots=True)
class OutFrom:
    """Where the time out of the cold begins: ``leaving``, ``unloading`` or ``pickup``; and when, if that is planned."""

    place: str
    moment: datetime | None = None


def out_from(inquiry: Inquiry, kitchen: Kitchen) -> OutFrom:
    """Return where and when an order's time out of the cold begins."""
    if inquiry.hand_over != Inquiry.HandOver.DELIVERY:
        return OutFrom("pickup")
    moment = timezone.localtime(inquiry.window_start - timedelta(minutes=away_minutes(inquiry, kitchen)))
    return OutFrom("unloading" if kitchen.vehicle_cold else "leaving", moment)


def never_cold(cold: Cold, book: Book) -> ColdRefusal | None:
    """Find a product that may never get cold at its station, and what helps; None if there is none."""
    for code, one in cold.items():
        for time in one.times:
            if time.never:
                return ColdRefusal(_never(book.product(code).name, time), what_it_takes(time), one.product_id)
    return None


def _never(name: str, time: ColdTime) -> Reason:
    where = {"station": time.place, "air_c": time.air_c, "limit_c": time.limit_c}
    return Reason("gets_never_cold", {"product": name, **where})


def what_it_takes(time: ColdTime) -> Reason:
    """Return what helps: only colder air, if at the slow end the air is no colder than the limit."""
    if time.air_c + _WARMER >= time.limit_c:
        return Reason("takes_colder_air", {"warmest_c": time.limit_c - _WARMER})
    return Reason("takes_faster_cooling")


def out_too_long(cold: Cold, book: Book, inquiry: Inquiry, kitchen: Kitchen) -> ColdRefusal | None:
    """Find the products that would be out of the cold longer than the rule allows, and what works instead.

    None if there is none. Where the rule states no time, the estimate refuses nothing; see ``notes``.
    """
    whole = away_minutes(inquiry, kitchen)
    limits = {
        code: one.out
        for code, one in cold.items()
        if one.out is not None and one.out.clause is not None and one.out.longest_minutes < whole
    }
    if not limits:
        return None
    setup = min(whole, ceil(inquiry.setup_minutes or 0))
    least = min(out.longest_minutes for out in limits.values())
    first = [code for code, out in limits.items() if out.longest_minutes == least]
    limit = limits[first[0]]
    params = {"away": whole, "products": _names(first, book), "limit": _limit(limit), "source": _source(limit)}
    ways = list(_ways_out(whole - setup, setup, least, refrigerated=kitchen.vehicle_cold))
    return ColdRefusal(
        Reason("out_longer_than_allowed", {"doing": _doing(whole - setup, setup), **params}),
        Reason("what_helps", {"ways": ways}),
    )


def _limit(out: TimeOutLimit) -> Reason:
    code, facts = "less_than" if out.under else "at_most", {"minutes": out.allowed_minutes}
    return Reason(f"{code}_left", {**facts, "used": out.used}) if out.used else Reason(code, facts)


def _source(out: TimeOutLimit) -> Reason:
    """Return whose limit it is and where it stands."""
    kind, source = ("rule", "") if out.clause is None else (out.clause.kind, out.clause.source)
    return Reason(
        {"house": "limit_of_house", "defence": "limit_of_defence"}.get(kind, "limit_of_rule"), {"source": source}
    )


def _names(codes: Iterable[str], book: Book) -> list[str]:
    return [book.product(code).name for code in codes]


def _doing(way: int, setup: int) -> Reason:
    if way and setup:
        return Reason("way_and_set_up")
    return Reason("way" if way else "set_up")


def _ways_out(way: int, setup: int, least: int, *, refrigerated: bool) -> Iterator[Reason]:
    """Return what would work. An insulated box keeps food colder, but does not extend a time stated by a rule."""
    if way and least > setup:
        yield Reason("shorter_way", {"most": least - setup})
    if setup and least > way:
        yield Reason("shorter_set_up", {"most": least - way})
    if way and not refrigerated and setup <= least:
        yield Reason("refrigerated_vehicle")
    yield Reason("collection")


def serve_by(one: ProductCold, out_from: OutFrom) -> datetime | None:
    """Return when the kitchen's own limit of time out of the cold ends; None without one, or without a plan."""
    if one.out is None or one.out.clause is None or one.out.clause.kind != "house" or out_from.moment is None:
        return None
    return out_from.moment + timedelta(minutes=one.out.longest_minutes)


def notes(cold: Cold, book: Book, inquiry: Inquiry, kitchen: Kitchen) -> tuple[ColdNote, ...]:
    """Return notes for the owner: rules not met, estimates that end early, and how long products stay cold.

    Exceeding a time that a rule states is refused (`out_too_long`). Where the rule states no time, exceeding the
    estimate is only noted. So is the limit for products the customer collects.
    """
    return (
        *_judged(cold, book),
        *(note for code, one in cold.items() for note in _stated_counts(book.product(code).name, one)),
        *(note for code, one in cold.items() for note in _odd_heights(book.product(code).name, one)),
        *_collected(cold, book, inquiry),
        *_no_time(cold, book),
        *_warms(cold, book, inquiry, kitchen),
    )


def wait_notes(found: Estimate, cold: Cold, book: Book) -> tuple[ColdNote, ...]:
    """Return notes about what waits warm too long while the loads of these amounts are filled."""
    return tuple(
        ColdNote(reason, _cooled({line.product: cold[line.product]}, book) if line.product in cold else ())
        for line in found.lines
        for part in warm_parts_of(book.product(line.product), book)
        if (reason := part.too_long(line.loads)) is not None
    )


_JUDGED: Mapping[Verdict, str] = {NOT_MET: "rule_not_kept", "likely": "rule_kept_as_likely"}


def _judged(cold: Cold, book: Book) -> Iterator[ColdNote]:
    """Return notes about products that do not meet their rule, grouped by rule."""
    found: dict[tuple[str, str], dict[str, ProductCold]] = {}
    for code, one in cold.items():
        for time in one.times:
            if time.verdict in _JUDGED and not time.never:
                found.setdefault((_JUDGED[time.verdict], time.rule), {})[code] = one
    for (judged, rule), products in found.items():
        yield ColdNote(Reason(judged, {"products": _names(products, book), "rule": rule}), _cooled(products, book))


def _cooled(products: Cold, book: Book) -> tuple[CooledProduct, ...]:
    return tuple(CooledProduct(book.product(code).name, one.product_id) for code, one in products.items())


def _stated_counts(name: str, one: ProductCold) -> Iterator[ColdNote]:
    """Return notes where the stated minutes count because the estimate ends early."""
    products = (CooledProduct(name, one.product_id),)
    for time in one.times:
        if time.freezing is not None:
            freezing = {"minutes": time.freezing.minutes, "freezes_in": time.freezes_in, "step": time.name}
            freezing["timed"] = bool(time.legs)
            yield ColdNote(Reason("rim_freezes", {"product": name, **freezing}), products)


def _odd_heights(name: str, one: ProductCold) -> Iterator[ColdNote]:
    """Return a note where the height entered is not that of what goes in: the higher of both was judged."""
    if one.odd_height is not None:
        params = {"product": name, **one.odd_height.params}
        yield ColdNote(Reason("height_differs", params), (CooledProduct(name, one.product_id),))


def _collected(cold: Cold, book: Book, inquiry: Inquiry) -> Iterator[ColdNote]:
    """Return the note with the limit for collected products; the customer's travel time is unknown."""
    if inquiry.hand_over != Inquiry.HandOver.PICKUP:
        return
    limits: dict[int, tuple[TimeOutLimit, list[str]]] = {}
    for code, one in cold.items():
        if one.out is not None and one.out.clause is not None:
            limits.setdefault(one.out.longest_minutes, (one.out, []))[1].append(code)
    for _, (out, codes) in sorted(limits.items()):
        yield ColdNote(Reason("once_collected", {"products": _names(codes, book), "limit": _limit(out)}))


def _no_time(cold: Cold, book: Book) -> Iterator[ColdNote]:
    """Return the note on products for which neither the rule nor the house states a time out of the cold."""
    untimed = {code: one for code, one in cold.items() if one.out is not None and one.out.clause is None}
    if untimed:
        yield ColdNote(Reason("no_time_stated", {"products": _names(untimed, book)}))


def _warms(cold: Cold, book: Book, inquiry: Inquiry, kitchen: Kitchen) -> Iterator[ColdNote]:
    """Return notes on products that exceed their limit before the hand-over, where the rule states no time."""
    whole = away_minutes(inquiry, kitchen)
    warm = {
        code: one
        for code, one in cold.items()
        if one.out is not None and one.out.clause is None and one.out.minutes < whole
    }
    if not warm:
        return
    limit = next(iter(warm.values())).times[-1].limit_c
    each = [_stays_cold(book.product(code).name, one) for code, one in warm.items()]
    yield ColdNote(Reason("gets_warm", {"away": whole, "limit_c": limit, "each": each}), _cooled(warm, book))


def _stays_cold(name: str, one: ProductCold) -> Reason:
    """Return how long it stays cold as it is carried, and in an insulated box; None without a limit."""
    minutes, boxed = (None if out is None else out.allowed_minutes for out in (one.out, one.boxed))
    return Reason("stays_cold", {"product": name, "minutes": minutes, "boxed": boxed})
