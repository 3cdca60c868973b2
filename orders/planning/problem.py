"""The kitchen's own problem: what is promised around some days, from rows and the Book."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from math import ceil
from typing import Final
from zoneinfo import ZoneInfo

from catalog.cooling.planned import batch_minutes, product_minutes
from catalog.cooling.selectors import cold_times
from catalog.records.moments import same_hour
from costing.contract import Book
from costing.contract.plan_bounds import SAFE_WAY_MIN
from costing.plan.book_kitchen import Days, days_of, kitchen_of
from costing.plan.deriving import Deriving, SharedLoad, Table, Trip
from costing.plan.grid import GRID_MIN
from costing.plan.makings import Cold, mold_of
from costing.plan.problem import Level, Making, Problem, Span
from orders.cooling_log.models import CoolingRecord
from orders.documents.agreed import content_agreed
from orders.inquiries.models import Inquiry
from orders.orders.models import Order, OrderLine
from orders.quotes.models import Quote, QuoteLine
from orders.records.states import ORDERS_AHEAD, OrderStatus

DAY_MIN: Final = 24 * 60
#: Work for an event may begin so many days before it, and what leaves so long after it may be in its way.
BEFORE, AFTER = timedelta(days=14), timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Promised:
    """What is promised to leave in some days: an order, or a quote whose day is kept; its units, when, its drive.

    ``number`` is the order's, or the quote's; ``quote_id`` stays what it is when the quote becomes an order. ``begun``
    is what is in production, or of which something was measured; ``cooled_from`` are by code of a product (or
    ``recipe:`` and a recipe's) the moments at which loads and batches of it began to cool, as the cooling log says.
    """

    number: str
    quote_id: int
    units: Mapping[str, int]
    leaves: tuple[datetime, datetime]
    begun: bool = False
    trip: Trip | None = None
    cooled_from: Mapping[str, tuple[datetime, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class KitchenProblem:
    """A problem with the days it is about; ``unknown`` are codes of products that the Book does not have any more.

    Where only what is ``stated`` counts, vehicles and ways that nobody entered do not.
    """

    book: Book
    days: Days
    promised: tuple[Promised, ...]
    unknown: frozenset[str] = frozenset()
    stated: bool = False
    _loads: dict[SharedLoad, Making] = field(default_factory=dict, compare=False, repr=False)
    _recipes: dict[tuple[str, int], Cold] = field(default_factory=dict, compare=False, repr=False)

    def minute(self, moment: datetime) -> int:
        """Return a moment as a minute of the plan, rounded down."""
        return int((moment - self.days.clock.origin) // timedelta(minutes=1))

    def moment(self, minute: int) -> datetime:
        """Return a minute of the plan as a moment in the kitchen's zone."""
        return (self.days.clock.origin + timedelta(minutes=minute)).astimezone(self.days.clock.zone)

    def table(
        self,
        number: str,
        units: Mapping[str, int],
        windows: Iterable[tuple[datetime, datetime]],
        trip: Trip | None = None,
    ) -> Table:
        """Return what an order takes; products that the Book does not have are left out.

        A window in which no minute of the grid lies is that of the last one before it: everything is ready by then.
        """
        known = {code: count for code, count in units.items() if code not in self.unknown}
        spans = tuple(_on_grid(self.minute(begin), self.minute(end)) for begin, end in windows)
        if trip is not None and self.stated:
            trip = replace(trip, minutes=trip.minutes - trip.unstated, unstated=0)
        cold = trip is not None and self._stays_cold(known)
        return Table(number, known, spans, trip and replace(trip, cold=cold))

    def _stays_cold(self, units: Mapping[str, int]) -> bool:
        """Return whether something has to stay cold on the way, and is not carried in an insulated box."""
        bare = [code for code in units if self.book.product(code).carried != "insulated"]
        found = cold_times(bare, self.book).values()
        return any(one.out is not None or one.holds_c is not None for one in found)

    @cached_property
    def tables(self) -> tuple[Table, ...]:
        """What is promised."""
        return tuple(self._promised_table(one) for one in self.promised)

    def _promised_table(self, one: Promised) -> Table:
        begun = {code: tuple(map(self.minute, times)) for code, times in one.cooled_from.items()}
        return replace(self.table(one.number, one.units, [one.leaves], one.trip), begun=begun)

    @cached_property
    def begun(self) -> frozenset[str]:
        """The numbers of the orders in production, or of which something was measured as it cooled."""
        return frozenset(one.number for one in self.promised if one.begun)

    def problem(self, asked: Table | None = None, *, now: datetime | None = None, lax: bool = False) -> Problem:
        """Return what is to be planned, with the components that ``asked`` takes too; it is no order of it.

        Nothing new begins before ``now``. Without it, what is promised has a plan from the first day on: what lies in
        the past of that is done or begun, as far as anybody knows. ``lax`` is as in :class:`Deriving`.
        """
        tables = self.tables if asked is None else (*self.tables, asked)
        deriving = self.deriving(tables, lax=lax)
        begin, entered = 0 if now is None else self.minute(now), lax or self.stated
        kitchen = kitchen_of(self.book, self.days, begin, self._away(), lax=entered)
        return Problem(kitchen, tuple(deriving.order(one) for one in self.tables), deriving.components(tables))

    def _away(self) -> dict[str, tuple[Level, ...]]:
        """Return when how many molds are with customers, until they are back or replaced."""
        found: dict[str, list[Level]] = {}
        for one in self.promised:
            for code, units in one.units.items():
                product = None if code in self.unknown else self.book.product(code)
                mold = None if product is None or not product.mold_leaves else mold_of(product, self.book)
                if product is None or mold is None:
                    continue
                begin, back = self.minute(one.leaves[1]), self.days.end
                if product.mold_back_days is not None:
                    back = min(back, begin + product.mold_back_days * DAY_MIN)
                if back > max(0, begin):
                    found.setdefault(f"mold:{mold.name}", []).append(Level(max(0, begin), back, units))
        return {code: tuple(levels) for code, levels in found.items()}

    def deriving(self, tables: Sequence[Table], *, lax: bool = False) -> Deriving:
        """Return what makes orders and components, with how long cooling makes the steps of these tables."""
        codes = sorted({code for table in tables for code in table.units})
        cold = product_minutes(codes, self.book)
        return Deriving(self.book, cold, self._recipe_minutes, lax=lax, share=True, known=self._loads)

    def _recipe_minutes(self, code: str, grams: int) -> Cold:
        if (code, grams) not in self._recipes:
            self._recipes[code, grams] = batch_minutes(code, grams, self.book)
        return self._recipes[code, grams]


def kitchen_problem(
    book: Book, *, first: date, last: date, reserved: Iterable[Quote] = (), besides: str = ""
) -> KitchenProblem:
    """Return what is promised to leave between two days; four queries.

    ``reserved`` are quotes whose day is kept, with their lines' products and inquiry; of these what leaves in the days.
    ``besides`` is the number of a quote whose own order is left out: a revision of it asks for the same event.
    """
    before = first - BEFORE
    days = days_of(book, before, (last - before).days + 2)
    zone = days.clock.zone
    start, end = (datetime.combine(day, datetime.min.time(), zone) for day in (first, last + timedelta(days=1)))
    rows = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=start, window_start__lt=end)
    rows = rows.exclude(quote__number=besides).select_related("quote__inquiry").defer("quote__brief", "quote__estimate")
    rows = rows.prefetch_related("lines__product").order_by("window_start", "pk")
    held = (_held(one, zone) for one in reserved)
    near = [one for one in held if start <= one.leaves[0] < end]
    return _kitchen(book, days, rows, near, cooled_from(one.pk for one in rows))


def problem_of(book: Book, orders: Sequence[Order]) -> KitchenProblem:
    """Return what some orders take, without what was measured of them; no query.

    The orders come with lines, products and inquiry; there is at least one.
    """
    zone = ZoneInfo(book.kitchen.described.time_zone)
    leaves = [one.window_start.astimezone(zone).date() for one in orders]
    before = min(leaves) - BEFORE
    return _kitchen(book, days_of(book, before, (max(leaves) - before).days + 2), orders)


def _kitchen(
    book: Book,
    days: Days,
    orders: Iterable[Order],
    held: Iterable[Promised] = (),
    cooled: Mapping[int, Mapping[str, tuple[datetime, ...]]] | None = None,
) -> KitchenProblem:
    promised = (*(_promised(one, (cooled or {}).get(one.pk, {})) for one in orders), *held)
    known = {product.code for product in book.products}
    unknown = frozenset(code for one in promised for code in one.units if code not in known)
    return KitchenProblem(book, days, promised, unknown)


def cooled_from(orders: Iterable[int]) -> dict[int, dict[str, tuple[datetime, ...]]]:
    """Return by order when its loads and batches began to cool, as records say; one query.

    By code of a product, or ``recipe:`` and a recipe's; a batch that was made for several orders at once counts for
    each of them that is among these.
    """
    found: dict[int, dict[str, set[datetime]]] = {}
    known = set(orders)
    rows = CoolingRecord.objects.filter(order__in=known, started_at__isnull=False)
    for order, product, recipe, common, began in rows.values_list(
        "order_id", "product__code", "recipe__code", "common", "started_at"
    ):
        for one in known & {order, *common}:
            if began is not None:
                found.setdefault(one, {}).setdefault(product or f"recipe:{recipe}", set()).add(began)
    return {order: {code: tuple(sorted(times)) for code, times in codes.items()} for order, codes in found.items()}


def _promised(order: Order, cooled: Mapping[str, tuple[datetime, ...]]) -> Promised:
    units, inquiry = units_of(order.lines.all()), order.event
    leaves, begun = leaving(order.window_start, inquiry), bool(cooled) or order.status == OrderStatus.IN_PRODUCTION
    return Promised(order.number, order.quote_id, units, leaves, begun, trip_of(inquiry), cooled)


def _held(quote: Quote, zone: ZoneInfo) -> Promised:
    inquiry = quote.inquiry
    leaves = leaving(window_of(quote, zone)[0], inquiry)
    return Promised(quote.number, quote.pk, units_of(quote.lines.all()), leaves, trip=trip_of(inquiry))


def units_of(lines: Iterable[QuoteLine | OrderLine]) -> dict[str, int]:
    """Return the units of a quote's or an order's lines by product; they come with their products."""
    units: dict[str, int] = {}
    for line in lines:
        units[line.product.code] = units.get(line.product.code, 0) + line.units
    return units


def window_of(quote: Quote, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Return the window of a quote: of one that was sent as its content has it, which is what an order is made with.

    Where it offers several it is the one of number ``quote.window_chosen``, which is set beforehand, or the first.
    """
    if not quote.content:
        return quote.inquiry.window_start, quote.inquiry.window_end
    event = content_agreed(quote).event
    return same_hour(event.window_start, zone), same_hour(event.window_end, zone)


def trip_of(inquiry: Inquiry) -> Trip | None:
    """Return the drive of what is delivered: the way, setting up, the way back; None for what is picked up.

    A way that nobody entered counts back only: when it leaves is what every sheet shows.
    """
    if inquiry.hand_over != Inquiry.HandOver.DELIVERY:
        return None
    way = None if inquiry.minutes is None else ceil(inquiry.minutes)
    back = SAFE_WAY_MIN if way is None else way
    return Trip(inquiry.travel_minutes + back, inquiry.crew, unstated=SAFE_WAY_MIN if way is None else 0)


def _on_grid(begin: int, end: int) -> Span:
    if -(-begin // GRID_MIN) <= end // GRID_MIN:
        return begin, end
    earlier = begin - begin % GRID_MIN
    return earlier, earlier


def leaving(start: datetime, inquiry: Inquiry) -> tuple[datetime, datetime]:
    """Return when what is handed over in a window leaves: the way and the setting up before it, as on every sheet."""
    way = timedelta(0) if inquiry.hand_over == Inquiry.HandOver.PICKUP else timedelta(minutes=inquiry.travel_minutes)
    return start - way, start - way


def span_of(problem: KitchenProblem, window: tuple[datetime, datetime]) -> Span:
    """Return a window in minutes of the plan."""
    return problem.minute(window[0]), problem.minute(window[1])
