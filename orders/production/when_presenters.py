"""When each step is done, by the kitchen's plan: every load and batch once; and what has no place there yet."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from django.utils.translation import gettext

from catalog.cooling.amounts import batch_amounts
from catalog.cooling.batch_presenters import mass_words
from catalog.kitchen.selectors import local_day
from catalog.web import display
from costing.contract import Recipe
from orders.cooling_log.making_days import EndsByOrder, planned_ends, units_of
from orders.orders.models import Order
from orders.planning.planned_batches import Planned, PlannedBatch, planned_batches
from orders.production.demand import Demand
from orders.production.tasks import Task


@dataclass(frozen=True)
class When:
    """What the plan says of some orders, and of those that have no place in it how late each step may end."""

    orders: Sequence[Order]
    plan: Planned
    ends: EndsByOrder
    works: dict[int, set[str]]

    @property
    def known(self) -> bool:
        """Whether the kitchen has a plan that says something of these orders, or that it has no place for one."""
        return bool(self.plan.batches or self.plan.unplaced)

    def words(self, task: Task) -> list[str]:
        """Write when a step is done, day by day; then each order for which it has no place yet."""
        work = f"{'recipe' if isinstance(task.of, Recipe) else 'product'}:{task.of.code}"
        here = {order.quote_id for order in self.orders}
        batches = [one for one in self.plan.batches if one.work == work and not here.isdisjoint(one.quotes)]
        return [*_days(batches, task.place, here), *self._unplanned(work, task)]

    def _unplanned(self, work: str, task: Task) -> Iterator[str]:
        place = work.removeprefix("recipe:"), task.place
        for order in self.orders:
            if not self.plan.waits(order) or work not in self.works[order.pk]:
                continue
            if (ends := self.ends.get(order.pk, {}).get(place)) is None:
                yield gettext("%(order)s: not planned yet") % {"order": order.number}
            else:
                facts = {"order": order.number, "moment": display.moment(ends)}
                yield gettext("%(order)s: not planned yet, done by %(moment)s at the latest") % facts


def when_of(found: Demand, *, at: datetime) -> When:
    """Return when the steps for some orders are done; the queries of the plan."""
    plan = planned_batches(found.orders, found.book)
    waiting = [order for order in found.orders if plan.waits(order)]
    ends = planned_ends(waiting, found.book, plan, at=at) if waiting else {}
    return When(found.orders, plan, ends, {order.pk: _works(order, found) for order in waiting})


def _works(order: Order, found: Demand) -> set[str]:
    known = {code: count for code, count in units_of(order).items() if code in found.units}
    return {f"product:{code}" for code in known} | {f"recipe:{code}" for code, _ in batch_amounts(known, found.book)}


def _days(batches: Sequence[PlannedBatch], place: int, here: Collection[int]) -> Iterator[str]:
    several = len(batches) > 1
    timed = sorted((one for one in batches if place in one.steps), key=lambda one: one.steps[place])
    for day, of_day in groupby(timed, key=lambda one: local_day(one.steps[place][0])):
        times = dict.fromkeys(_batch(one, place, here, several=several) for one in of_day)
        yield gettext("%(day)s: %(times)s") % {"day": display.day(day), "times": "; ".join(times)}


def _batch(one: PlannedBatch, place: int, here: Collection[int], *, several: bool) -> str:
    """Write from when to when a step of a batch lasts, how much it is, and that others than these orders share it."""
    begin, end = one.steps[place]
    same, shared = local_day(begin) == local_day(end), not one.quotes.issubset(here)
    facts = {"begin": display.clock(begin), "end": display.clock(end) if same else display.moment(end)}
    if one.grams and (several or shared):
        facts["amount"] = mass_words(one.grams)
        text = gettext("%(begin)s to %(end)s, %(amount)s with other orders")
        return (text if shared else gettext("%(begin)s to %(end)s, %(amount)s")) % facts
    return (gettext("%(begin)s to %(end)s, with other orders") if shared else gettext("%(begin)s to %(end)s")) % facts
