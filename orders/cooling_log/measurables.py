"""What of an order can be measured: its desserts and hot batches, with their limits and what was recorded so far."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from costing.contract import Book
from orders.cooling_log.asked import Asked, rows_of_each
from orders.cooling_log.deadlines import Limits
from orders.cooling_log.judged import batches_judged, limits_in_force, products_judged, products_likely
from orders.cooling_log.loads_apart import Apart, loads_apart
from orders.cooling_log.measured import batches_apart, began, records_of
from orders.cooling_log.models import UNBROKEN, CoolingRecord
from orders.cooling_log.selectors import CoolingMark, book_now, cooling_marks
from orders.cooling_log.sharing import together_units
from orders.orders.models import Order
from orders.quotes.cooling.amounts import loads_of
from orders.quotes.cooling.selectors import Item, overrides_of


@dataclass(frozen=True, slots=True)
class Measurable:
    """A dessert of an order that can be measured, with its limits and what was recorded so far.

    ``records`` are those of this order, and of others as one batch with it, earliest first. ``work`` is its work in the
    plan of an order, ``parts`` in how many vessels or loads it cools, and ``made_for`` the orders for which it is made
    at once: by today's plans, and by what was recorded of that batch. ``alone`` is in how many vessels it cools for
    this order alone. ``apart`` is where its loads leave one after the other,
    ``likely_min`` how long its fastest cooling likely takes until it is cold [min], where that is estimated,
    ``likely_shared_min`` as one batch for all its orders.
    ``counted`` is False where nothing states in how many vessels or loads it cools, ``pieces`` are those of a product.
    ``steps_mark`` stands for the steps by which it breaks its rule, as a record writes it down. ``number`` counts the
    coolings of the same item of which each is measured for itself, ``open`` when this one still has to be; ``others``
    are the records of the rest.
    """

    item: Item
    name: str
    limits: Limits
    records: Sequence[CoolingRecord] = ()
    work: str = ""
    parts: int = 1
    made_for: tuple[Order, ...] = ()
    alone: int = 1
    apart: Apart | None = None
    likely_min: float | None = None
    likely_shared_min: float | None = None
    counted: bool = True
    pieces: int = 1
    steps_mark: str = ""
    number: int = 0
    open: bool = True
    others: Sequence[CoolingRecord] = ()

    @property
    def key(self) -> str:
        """What names it on a form: its item, with the number of the cooling where several are measured."""
        return f"{self.item}-{self.number}" if self.number else str(self.item)

    def parts_when(self, *, common: bool | None) -> int:
        """Return in how many vessels or loads it is made: for all its orders at once, or for this one alone."""
        return self.alone if self.is_common and not common else self.parts

    def needs_warmest(self, *, common: bool | None) -> bool:
        """Whether a reading says that it is that of the warmest: no number tells one piece or vessel from the others.

        So it is for several pieces in one load, and where nothing states in how many vessels it stands.
        """
        return not self.counted or (self.parts_when(common=common) == 1 and self.pieces > 1)

    @property
    def is_common(self) -> bool:
        """Whether it may be made at once for several orders: then a record says whether it was."""
        return len(self.made_for) > 1

    def of_batch(self, *, common: bool | None) -> "Measurable":
        """Return this with the records of one batch alone: of that for all its orders, or of this order's own."""
        if not self.is_common:
            return self
        rows = [row for row in self.records if bool(row.common) == bool(common)]
        likely = self.likely_shared_min if common else None
        return replace(self, records=rows, likely_min=likely or self.likely_min)

    @property
    def batches(self) -> Iterator["Measurable"]:
        """This with the records of each batch by itself, where there are any."""
        yield from (replace(self, records=rows) for rows in batches_apart(self.records))

    def of_part(self, part: int) -> Sequence[CoolingRecord]:
        """Return the records of one vessel, or of every one (0): those of it, and those that stand for all."""
        return [row for row in self.records if row.part in (0, part)]

    def going_on_in(self, part: int) -> CoolingRecord | None:
        """Return the record of a vessel that goes on: its latest, while it still cools."""
        rows = self.of_part(part)
        return rows[-1] if rows and rows[-1].outcome == CoolingRecord.Outcome.COOLING else None

    def began(self, part: int) -> datetime | None:
        """Return when cooling began that still goes on in a vessel, or in any (0): the earliest that was recorded.

        It is one cooling until it was cold in time or something was done with it, whoever records it for which order.
        """
        return began(self.records, part)

    @property
    def going_on(self) -> CoolingRecord | None:
        """The record that goes on: the latest one, while it still cools."""
        last = self.records[-1] if self.records else None
        return last if last is not None and last.outcome == CoolingRecord.Outcome.COOLING else None


def _made_for(
    order: Order, marks: Mapping[Item, CoolingMark], records: Mapping[Item, Sequence[CoolingRecord]]
) -> dict[Item, tuple[Order, ...]]:
    """Return the orders of batches that are made, or were measured, as one with others; a query where one was.

    An order that is handed over stays one of those that got of the batch: its other vessels are measured for all.
    """
    found = {item: mark.together.orders for item, mark in marks.items() if mark.together is not None}
    named = {item: {pk for row in rows for pk in row.common} for item, rows in records.items()}
    lacking = {pk for item, keys in named.items() for pk in keys - {one.pk for one in found.get(item, (order,))}}
    others = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    more = others.in_bulk(lacking) if lacking else {}
    for item, keys in named.items():
        known = {one.pk for one in found.get(item, (order,))}
        if keys - known:
            found[item] = (*found.get(item, (order,)), *(more[pk] for pk in sorted(keys - known)))
    return found


def _likely_shared(batches: Mapping[Item, tuple[Order, ...]], book: Book) -> Mapping[Item, float]:
    """Return how long batches for several orders likely take until they are cold, in the amounts of all [min]."""
    found = {}
    for item, orders in batches.items():
        one = batches_judged(together_units(orders), book).get(item)
        if one is not None and one.likely_min is not None:
            found[item] = one.likely_min
    return found


def _parts(mark: CoolingMark, rows: Sequence[CoolingRecord]) -> int:
    """Return in how many vessels something stands; a batch for several orders in as many as its records say."""
    shared = [row.parts for row in rows if row.common]
    if mark.together is None and not shared:
        return mark.parts
    return max([1 if mark.together is None else mark.together.broken.parts, *shared])


def _steps_mark(mark: CoolingMark | None, book: Book | None) -> str:
    return "" if book is None else (mark.steps_mark if mark else "") or UNBROKEN


def measurable(order: Order, book: Book | None = None) -> list[Measurable]:
    """Return the desserts of an order that ask for cooling, or are marked, in the order of its lines; its hot batches.

    Each has the limits by which today's Book judges it. Where that does not judge it, or has an error, the kitchen's
    rule in force counts: what was measured is never taken without limits.
    """
    book = book or book_now()
    lines = list(order.lines.select_related("product"))
    judged = products_judged({line.product.code: line.units for line in lines}, book) if book else {}
    marks = cooling_marks([order], book).get(order.pk, {})
    records = {item: rows for (_, item), rows in records_of([order.pk]).items()}
    batches = _made_for(order, marks, records)
    shared = _likely_shared(batches, book) if book else {}
    stated = overrides_of([order.quote_id])[order.quote_id]
    names = {Item("product", line.product_id): line.name for line in lines}
    hot = batches_judged({line.product.code: line.units for line in lines}, book) if book else {}
    names |= {item: mark.name for item, mark in marks.items() if item.kind == "recipe"}
    names |= {item: one.name for item, one in hot.items()}
    judged |= {item: one.limits for item, one in hot.items()}
    likely = products_likely({line.product.code for line in lines}, book) if book else {}
    likely |= {item: one.likely_min for item, one in hot.items() if one.likely_min is not None}
    parts = {item: one.parts for item, one in hot.items()}
    if book:
        loads = loads_of({line.product.code: line.units for line in lines}, book)
        parts |= {Item("product", line.product_id): loads.get(line.product.code, 1) for line in lines}
    works = {Item("product", line.product_id): f"product:{line.product.code}" for line in lines}
    works |= {item: f"recipe:{one.code}" for item, one in hot.items()}
    pieces = {Item("product", line.product_id): line.units for line in lines}
    # What cannot be worked out, or is judged no more, states no vessels; what was found broken before may have.
    counted = {*hot, *(pieces if book else ())}
    counted |= {item for item, mark in marks.items() if mark.parts > 1 and not mark.broken}
    apart = loads_apart(order, book) if book and any(count > 1 for count in parts.values()) else {}
    found: list[Measurable] = []
    for item, name in names.items():
        rows = records.get(item, ())
        if item in marks or item in judged:
            limits = judged.get(item) or limits_in_force(stated.get(item), rows)
            mark, made_for = marks.get(item), batches.get(item, (order,))
            one = Measurable(
                item,
                name,
                limits,
                rows,
                work=works.get(item, ""),
                parts=max(parts.get(item, 1), 1 if mark is None else _parts(mark, rows)),
                made_for=made_for,
                alone=parts.get(item, 1),
                apart=apart.get(works.get(item, "")),
                likely_min=likely.get(item),
                likely_shared_min=shared.get(item),
                counted=item in counted,
                pieces=pieces.get(item, 1),
                steps_mark=_steps_mark(mark, book),
            )
            found += _each(one, () if mark is None else mark.asked, () if mark is None else mark.open_coolings)
    return found


def _each(one: Measurable, asked: Sequence[Asked], open_: Collection[str]) -> Iterator[Measurable]:
    """Yield an item once for each of its coolings that has to be measured for itself."""
    if not asked:
        yield one
        return
    if len(asked) == 1:
        limits = asked[0].limits
        others = tuple(other for other in one.limits.others if other[0] != limits.part)
        yield replace(one, limits=replace(limits, others=others), steps_mark=asked[0].mark)
        return
    for number, (each, rows) in enumerate(zip(asked, rows_of_each(asked, one.records), strict=True), 1):
        rest = [row for row in one.records if row not in rows]
        cooling = replace(one, limits=each.limits, steps_mark=each.mark, number=number, records=rows)
        yield replace(cooling, others=rest, open=each.limits.part in open_)
