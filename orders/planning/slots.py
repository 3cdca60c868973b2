"""Whether a quote has its place in the kitchen's plan now, and the plan with it; nothing is written here."""

import hashlib
import json
import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any, Final

from catalog.book.selectors import book_current, book_revision
from catalog.records.errors import CannotPrice
from costing.contract import Book
from costing.plan.book_kitchen import states_people
from costing.plan.makings import LOADS
from costing.plan.problem import Plan, Problem
from costing.plan.promises import Limits, made_for
from costing.plan.verdicts import AS_PLANNED, IMPOSSIBLE
from orders.orders.models import Order
from orders.planning.answers import WindowAnswered, answered
from orders.planning.leaving_hours import may_leave
from orders.planning.models import KitchenPlan
from orders.planning.placements import Fact, placements_of, sound, sound_part
from orders.planning.plans import DaysPlan, Over, plan_days, without
from orders.planning.problem import (
    AFTER,
    BEFORE,
    KitchenProblem,
    kitchen_problem,
    leaving,
    trip_of,
    units_of,
    window_of,
)
from orders.planning.promise import ASKED, Leaving, Promise, promise, windows_work
from orders.planning.reserved import plan_row, reserved_quotes
from orders.quotes.models import Quote
from orders.records.states import ORDERS_AHEAD


@dataclass(frozen=True, slots=True)
class Budget:
    """How far it is looked for a place: seconds, and how often other loads are taken out for it."""

    seconds: float
    tries: int
    iterations: int
    others: bool = True
    slowly: bool = False


#: What a customer waits for; what others wait for, who want to approve too; what the background takes.
ASKING: Final = Budget(1.5, 60, 60)
LOCKED: Final = Budget(0.5, 8, 0, others=False)
LOOKING: Final = Budget(30.0, 400, 3000, slowly=True)
#: What a page takes that shows which of several windows still work.
SHOWING: Final = Budget(0.4, 0, 0, others=False)


@dataclass(frozen=True, slots=True)
class Slot:
    """What was found for a quote, and what that rests on: the plan's version, the catalog, what is promised.

    ``placed`` is the plan of ``here``, the quotes around it, as it is stored; ``over`` what has no place in it.
    ``waits`` says that something promised has no place, that nobody has looked for one at length, and that it may want
    what this takes.
    """

    rests_on: str
    promise: Promise
    answer: WindowAnswered
    placed: list[Fact]
    over: list[list[Any]]
    here: frozenset[int]
    waits: bool = False

    @property
    def uncounted(self) -> bool:
        """Whether only waits that nobody stated are in the way, so that the plan says nothing about it."""
        return self.promise.unstated

    @property
    def holds(self) -> bool:
        """Whether it has its place, beside a place for all that is promised."""
        return self.promise.holds and not self.waits

    @property
    def undecided(self) -> bool:
        """Whether there may be a place that was not found."""
        return not self.holds and self.promise.verdict != IMPOSSIBLE

    def still_sound(self) -> bool:
        """Return whether the checker passes its plan."""
        found = self.promise
        return found.plan is not None and found.problem is not None and sound(found.plan, found.problem, found.before)


def plan_counts(book: Book) -> bool:
    """Return whether a kitchen states enough for its plan to say no: when somebody is there, and people or places."""
    return bool(book.hours) and (states_people(book) or any(one.places is not None for one in book.stations))


def rests_on(row: KitchenPlan, quote: Quote, at: datetime) -> str:
    """Return what a place rests on: another text means that it is to be looked for anew; three queries.

    Orders that are begun, handed over or canceled do not move the plan's version, so they are in it themselves.
    """
    start, end = (quote.inquiry.window_start - 2 * BEFORE, quote.inquiry.window_end + 2 * BEFORE)
    rows = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=start, window_start__lt=end)
    promised = sorted(rows.values_list("pk", "status", "window_start", "window_end"))
    reserved = [one.pk for one in reserved_quotes(row, at, beside=quote.number)]
    parts = [row.version, book_revision(), promised, reserved]
    return hashlib.sha256(json.dumps(parts, default=str).encode()).hexdigest()


def slot_found(quote: Quote, *, at: datetime, budget: Budget = ASKING) -> Slot | None:
    """Look for a quote's place; None where the kitchen states too little for its plan to count.

    The quote comes with its inquiry.
    """
    try:
        book = book_current()
    except CannotPrice:
        return None
    if not plan_counts(book):
        return None
    until = time.monotonic() + budget.seconds
    return _Search(book, quote, at, budget, lambda: time.monotonic() > until).found()


def windows_still_work(quote: Quote, windows: Sequence[Leaving], *, at: datetime) -> tuple[str, ...] | None:
    """Return the verdict on each of some times of leaving, as the plan is now and by insertion alone.

    None where the kitchen states too little for its plan to count.
    """
    try:
        book = book_current()
    except CannotPrice:
        return None
    if not plan_counts(book):
        return None
    until = time.monotonic() + SHOWING.seconds
    return _Search(book, quote, at, SHOWING, lambda: time.monotonic() > until).verdicts(windows)


class _Search:
    """One search: what is read once for it."""

    def __init__(self, book: Book, quote: Quote, at: datetime, budget: Budget, enough: Callable[[], bool]) -> None:
        self.quote, self.at, self.budget, self.enough = quote, at, budget, enough
        self.row = plan_row()
        self.rests_on = rests_on(self.row, quote, at)
        self.in_force = in_force_of(quote)
        # What changes an order has the place that the order has, as far as it fits.
        self.stored = [_as_its_own(one, self.in_force, quote) for one in self.row.placed]
        self.kitchen = _kitchen_around(book, quote, self.row, at)
        known = {product.code for product in book.products}
        units = units_of(quote.lines.select_related("product"))
        self.units = {code: count for code, count in units.items() if code in known}
        self.leaves = leaving(window_of(quote, self.kitchen.days.clock.zone)[0], quote.inquiry)
        self.trip = trip_of(quote.inquiry)
        self.placements = placements_of(self.kitchen, {quote.pk: ASKED})

    def found(self) -> Slot:
        known = self._over_before()
        promised = self._as_stored(known)
        if promised is not None:
            return self._slot(
                promised, DaysPlan(self.kitchen, promised.problem or self.kitchen.problem(), Plan()), known
            )
        days = self._days(known)
        found = promise(
            days,
            self.units,
            self.leaves,
            now=self.at,
            may_leave=partial(may_leave, self.kitchen, self.quote.inquiry),
            trip=self.trip,
            limits=Limits(tries=self.budget.tries, enough=self.enough),
            others=self.budget.others,
        )
        return self._slot(found, days, known)

    def verdicts(self, windows: Sequence[Leaving]) -> tuple[str, ...]:
        days = self._days(self._over_before())
        return windows_work(days, self.units, windows, now=self.at, trip=self.trip)

    def _over_before(self) -> frozenset[str]:
        """Return the loads of which it is known that no place was found, by the catalog as it is now."""
        if self.row.revision != book_revision():
            return frozenset()
        codes = (self.placements.code(of, batch) for of, batch in self.row.over)
        return frozenset(code for code in codes if code is not None)

    def _as_stored(self, known: Collection[str]) -> Promise | None:
        """Return a yes where the stored plan has a place for it beside all that is promised: its day is kept."""
        if not any(one["of"] == self.quote.pk for one in self.stored):
            return None
        asked = self.kitchen.table(ASKED, self.units, [self.leaves], self.trip)
        beside = self.kitchen.problem(asked, now=self.at)
        order = self.kitchen.deriving([*self.kitchen.tables, asked]).order(asked)
        whole = without(Problem(beside.kitchen, (*beside.orders, order), beside.components), known)
        plan = self.placements.read(self.stored, whole)
        mine = {batch.code for batch in order.batches}
        before = Plan(tuple(one for one in plan.placed if one.code not in mine))
        there = plan.by_code()
        complete = all(batch.code in there for one in whole.orders for batch in one.batches)
        if complete and sound(plan, whole, before):
            return Promise(AS_PLANNED, plan=plan, problem=whole, before=before)
        return None

    def _days(self, known: Collection[str]) -> DaysPlan:
        """Return a plan of all that is promised, from what is still sound of the stored one on."""
        problem = without(self.kitchen.problem(), known)
        stored = sound_part(self.placements.read(self.row.placed, problem), problem, self.kitchen.begun)
        budget = self.budget
        return plan_days(
            self.kitchen,
            stored=stored,
            now=self.at,
            iterations=budget.iterations,
            enough=self.enough,
            slowly=budget.slowly,
        )

    def _competes(self, one: Over, found: Promise) -> bool:
        """Return whether a load without a place, that nobody looked for at length, may want what the quote takes."""
        order = next(each for each in self.kitchen.promised if each.number == one.order)
        if one.proved or one.drive or [order.quote_id, one.batch[len(one.order) :]] in self.row.over:
            return False
        plan = found.plan or Plan()
        mine = made_for(plan, (each.code for each in plan.placed if each.code.startswith(f"{ASKED}/")))
        begin = min((each.boundaries[0] for each in plan.placed if each.code in mine), default=0)
        return found.verdict != AS_PLANNED or begin < self.kitchen.minute(order.leaves[1])

    def _slot(self, found: Promise, days: DaysPlan, known: Collection[str]) -> Slot:
        waiting = found.holds and not self.budget.slowly
        behind = [one for one in days.over if self._competes(one, found)] if waiting else []
        plan, problem = (days.plan, days.problem) if found.plan is None else (found.plan, found.problem or days.problem)
        codes = [one.batch for one in days.over] or list(known)
        here = frozenset(one.quote_id for one in self.kitchen.promised)
        return Slot(
            self.rests_on,
            found,
            answered(found, days, self.trip, behind=behind),
            self.placements.written(plan, problem),
            self.placements.names(self.kitchen.problem(), codes),
            here | {self.quote.pk} | ({self.in_force} if self.in_force else set()),
            bool(behind),
        )


def in_force_of(quote: Quote) -> int | None:
    """Return the key of what an amendment changes, which has its place in the plan until then; None of other quotes."""
    if quote.amends_id is None:
        return None
    return Order.objects.filter(pk=quote.amends_id).values_list("quote_id", flat=True).first()


def _as_its_own(one: Fact, in_force: int | None, quote: Quote) -> Fact:
    if in_force is None:
        return one
    of = quote.pk if one["of"] == in_force else one["of"]
    taken = [[quote.pk if key == in_force else key, *rest] for key, *rest in one.get("for", ())]
    return {**one, "of": of, **({"for": taken} if taken else {})}


def _kitchen_around(book: Book, quote: Quote, row: KitchenPlan, at: datetime) -> KitchenProblem:
    """Return what is promised around a quote's window, and whatever by the stored plan is begun before it.

    What counts by default refuses no approval, and lets none go without a place: vehicles that nobody entered.
    """
    start = quote.inquiry.window_start
    last = max([(start + AFTER).date(), *_reaching_in(row.placed, start)])
    reserved = reserved_quotes(row, at, beside=quote.number)
    # What changes an order is made in its place, and is not another of it.
    besides = quote.number if quote.amends_id is not None else ""
    first = (start - BEFORE).date()
    return replace(kitchen_problem(book, first=first, last=last, reserved=reserved, besides=besides), stated=True)


def _reaching_in(placed: Collection[Fact], start: datetime) -> list[date]:
    """Return the days on which leaves what is begun before a moment and leaves up to two weeks after it.

    Of a load that serves several orders is begun what each of them takes of it.
    """
    minute, far = int(start.timestamp()) // 60, int((start + BEFORE).timestamp()) // 60
    early = (one for one in placed if one["at"][0] < minute and one.get("component", "").startswith(LOADS))
    begun = {(of, batch) for one in early for of, batch, *_ in one["for"]}
    loads = (one for one in placed if one["of"] and (one["at"][0] < minute or (one["of"], one["batch"]) in begun))
    ends = (one["at"][-1] for one in loads if minute <= one["at"][-1] <= far)
    return [(datetime.fromtimestamp(end * 60, tz=start.tzinfo) + timedelta(days=1)).date() for end in {*ends}]
