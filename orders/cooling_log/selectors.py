"""Marks of orders whose desserts break the cooling rule in force, until it is recorded what was measured."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from catalog.book.selectors import book_current
from catalog.cooling.selectors import cold_times
from catalog.records.errors import CannotPrice
from costing.chilling import COLD_C, Leg
from costing.contract import Book
from orders.cooling_log.models import CoolingRecord
from orders.orders.models import Order, OrderLine
from orders.quotes.cooling.selectors import Broken, Item, Judgement, judge, overrides_of
from orders.quotes.models import CoolingOverride

State = Literal["owed", "cooling", "met", "not_met"]


@dataclass(frozen=True, slots=True)
class CoolingMark:
    """A dessert of an order that has to be measured, or was.

    ``override`` is what the owner recorded to be measured, ``record`` the latest record, ``failed`` an earlier one that
    says that the rule was not kept.
    """

    order_id: int
    item: Item
    name: str
    override: CoolingOverride | None = None
    record: CoolingRecord | None = None
    failed: CoolingRecord | None = None
    never: bool = False

    @property
    def state(self) -> State:
        """Whether it is still to be measured, is being measured, or was found to have kept the rule or not."""
        if self.record is None:
            return "owed"
        return {"cooling": "cooling", "met": "met", "not_met": "not_met"}[self.record.outcome]  # type: ignore[return-value]  # the three outcomes

    @property
    def settled(self) -> bool:
        """Whether it was measured to have kept the rule."""
        return self.state == "met"


#: Key of an order -> what of it is marked.
Marks = Mapping[int, Mapping[Item, CoolingMark]]


def cooling_marks(orders: Sequence[Order], book: Book | None = None) -> Marks:
    """Return the marks of orders, whose lines come with their products: two queries, and one for new verdicts.

    Marked is what breaks the rule by the Book in force, and what was measured. What the owner said would be measured
    stays marked as long as today's Book does not judge it: taking a step out makes nothing cold.
    """
    if not orders:
        return {}
    book = book or _book_now()
    units = {order.pk: {line.product.code: line.units for line in order.lines.all()} for order in orders}
    judged = judge(units, book) if book else {}
    overrides = overrides_of({order.quote_id for order in orders})
    records = records_of(order.pk for order in orders)
    marks: dict[int, dict[Item, CoolingMark]] = {}
    for order in orders:
        found = judged.get(order.pk, Judgement())
        of_order = {item: rows for (pk, item), rows in records.items() if pk == order.pk}
        one_order = _OrderMarks(order, found, overrides[order.quote_id], of_order)
        if of_one := one_order.marks():
            marks[order.pk] = of_one
    return marks


@dataclass(frozen=True, slots=True)
class _OrderMarks:
    """Makes the marks of one order: of its lines, then of the batches made for it."""

    order: Order
    judgement: Judgement
    overrides: Mapping[Item, CoolingOverride]
    records: Mapping[Item, Sequence[CoolingRecord]]

    def marks(self) -> dict[Item, CoolingMark]:
        """Return what is broken or was measured, and what was to be measured and is not judged any more."""
        broken = {one.item: one for one in self.judgement.broken}
        stated = {item for item in self.overrides if item not in self.judgement.judged}
        wanted = broken.keys() | self.records.keys() | stated
        lines = {Item("product", line.product_id): line.name for line in self.order.lines.all()}
        batches = sorted(item for item in wanted if item.kind == "recipe")
        every = [*(item for item in lines if item in wanted), *batches]
        return {item: self._mark(item, broken.get(item), lines.get(item, "")) for item in every}

    def _mark(self, item: Item, one: Broken | None, name: str) -> CoolingMark:
        rows, override = self.records.get(item, ()), self.overrides.get(item)
        failed = [row for row in rows[:-1] if row.outcome == CoolingRecord.Outcome.NOT_MET]
        return CoolingMark(
            order_id=self.order.pk,
            item=item,
            name=name or _batch_name(one, rows, override),
            override=override,
            record=rows[-1] if rows else None,
            failed=failed[-1] if failed else None,
            never=one is not None and one.never,
        )


def _batch_name(one: Broken | None, rows: Sequence[CoolingRecord], override: CoolingOverride | None) -> str:
    """Return what a batch is called: by the Book, as it was measured, or as the owner named it."""
    if one is not None:
        return one.name
    if rows:
        return rows[-1].item
    return "" if override is None else str(override.recipe)


def _book_now() -> Book | None:
    try:
        return book_current()
    except CannotPrice:
        return None


#: Key of an order and item -> its records.
Records = Mapping[tuple[int, Item], Sequence[CoolingRecord]]


def records_of(orders: Iterable[int]) -> Records:
    """Return the records of some orders by order and item, the earliest first, in one query."""
    rows = CoolingRecord.objects.filter(order__in=list(orders)).order_by("order_id", "product_id", "recipe_id", "pk")
    return {key: list(group) for key, group in groupby(rows, lambda row: (row.order_id, record_item(row)))}


def record_item(row: CoolingRecord) -> Item:
    """Return what a record is about."""
    return Item("product", row.product_id) if row.product_id else Item("recipe", row.recipe_id or 0)


@dataclass(frozen=True, slots=True)
class Limits:
    """The rule by which an item is measured: its title, its legs, and the temperature at which it counts as cold."""

    rule: str = ""
    legs: tuple[Leg, ...] = ()
    limit_c: float = COLD_C


@dataclass(frozen=True, slots=True)
class Measurable:
    """A dessert of an order that can be measured, with its limits and what was recorded so far."""

    item: Item
    name: str
    limits: Limits
    records: Sequence[CoolingRecord] = ()

    @property
    def going_on(self) -> CoolingRecord | None:
        """The record that goes on: the latest one, while it still cools."""
        last = self.records[-1] if self.records else None
        return last if last is not None and last.outcome == CoolingRecord.Outcome.COOLING else None


def measurable(order: Order, book: Book | None = None) -> list[Measurable]:
    """Return the desserts of an order that ask for cooling, or that are marked, in the order of its lines."""
    book = book or _book_now()
    lines = list(order.lines.select_related("product"))
    cold = cold_times([line.product.code for line in lines], book) if book else {}
    records, stated = records_of([order.pk]), overrides_of([order.quote_id])[order.quote_id]
    found = []
    for line in lines:
        item, one = Item("product", line.product_id), cold.get(line.product.code)
        times = one.times if one else ()
        if times or item in stated or (order.pk, item) in records:
            limits = Limits(times[-1].rule, times[-1].legs, times[-1].limit_c) if times else Limits()
            found.append(Measurable(item, line.name, limits, records.get((order.pk, item), ())))
    return [*found, *_batches_to_measure(order, lines, book, records)]


def _batches_to_measure(
    order: Order, lines: Sequence[OrderLine], book: Book | None, records: Records
) -> Iterator[Measurable]:
    """Yield the batches of an order that are marked, with the limits of today's rule where they break it."""
    units = {line.product.code: line.units for line in lines}
    broken = {one.item: one for one in judge({0: units}, book)[0].broken} if book else {}
    for item, mark in cooling_marks([order], book).get(order.pk, {}).items():
        if item.kind == "recipe":
            one = broken.get(item)
            limits = Limits(one.rule, one.legs, one.limit_c) if one else Limits()
            yield Measurable(item, mark.name, limits, records.get((order.pk, item), ()))
