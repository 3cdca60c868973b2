"""Marks of orders whose desserts break the cooling rule in force, until it is recorded what was measured."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from typing import Literal

from catalog.book.selectors import book_current
from catalog.recipes.models import Recipe as RecipeRow
from catalog.recipes.perishables import product_room_safe, recipe_room_safe
from catalog.records.errors import CannotPrice
from catalog.records.reasons import Reason
from costing.contract import Book
from orders.cooling_log.aging import aged
from orders.cooling_log.asked import Asked, asked_of
from orders.cooling_log.breaches import Breach, batch_name, breach_stands, breaches_of
from orders.cooling_log.each_cooling import Missed, coolings_now, names_open, that_counts
from orders.cooling_log.judged import limits_of
from orders.cooling_log.making_days import units_of
from orders.cooling_log.measured import records_of
from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.reasons import given_by_all, out_of_force, reasons_of
from orders.cooling_log.together import Together, broken_together
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Broken, Item, Judgement, judge, overrides_of
from orders.quotes.cooling.shared import Given, Void
from orders.quotes.models import CoolingOverride
from orders.records.states import OrderStatus

State = Literal["owed", "unknown", "cooling", "missed", "met", "not_met"]


@dataclass(frozen=True, slots=True)
class CoolingMark:
    """A dessert of an order that has to be measured, or was.

    ``override`` is what the owner recorded to be measured, ``record`` the latest record, ``failed`` an earlier one that
    says that the rule was not kept. ``judged`` is False while the Book has an error, so that no verdict is known.
    ``why`` is that of what it breaks the rule by, ``short`` that it needs more vessels than there are; ``earlier`` when
    it breaks it no more by today's steps, ``room_safe`` when it is entered as safe at room temperature by now.
    ``breached_at`` is when an edit was found to break it while it may have been in the making. ``together`` when a
    batch breaks it as it is made for several orders at once, by another size than this order's own: then a record
    of any of them is one of this batch, and ``alone`` tells whether it breaks it in this order's amount too.
    ``open_parts`` are the numbers of its vessels, of ``parts``, that are not measured to have kept the rule, where
    some were measured one by one. ``discarded`` when what is there was thrown away, ``gone`` the numbers of the
    vessels of which that is so where they were measured one by one; ``changed`` when the steps or the verdict are
    others than the override was recorded for. ``missed`` is the limit of
    today that a reading of a cooling that goes on by its records shows as missed. ``broken`` tells whether it breaks
    the rule, or cannot be judged, by today's steps. ``given`` is the owner's reason why it is made as one batch all the
    same, ``void`` one that counts no more because orders, amounts or steps changed. ``aged_min`` is how long it keeps
    [min], where what was measured will be older than that when it is used. ``steps_mark`` stands for the steps and the
    verdict by which it breaks the rule, ``outdated`` when it does and was measured by other ones. ``started`` tells
    whether production has begun: before that nothing that was measured answers for what is still to be made.
    """

    order_id: int
    item: Item
    name: str
    override: CoolingOverride | None = None
    record: CoolingRecord | None = None
    failed: CoolingRecord | None = None
    never: bool = False
    judged: bool = True
    why: str = ""
    earlier: bool = False
    breached_at: datetime | None = None
    together: Together | None = None
    alone: bool = False
    open_parts: tuple[int, ...] = ()
    parts: int = 1
    short: Reason | None = None
    room_safe: bool = False
    discarded: bool = False
    changed: bool = False
    missed: Missed | None = None
    gone: tuple[int, ...] = ()
    broken: bool = False
    given: Given | None = None
    void: Void | None = None
    aged_min: Fraction | None = None
    steps_mark: str = ""
    outdated: bool = False
    started: bool = False
    #: The names of its coolings that are still open, where several break their rule.
    open_coolings: tuple[str, ...] = ()
    #: What of it has to be measured, each by a reading of its own.
    asked: tuple[Asked, ...] = ()

    @property
    def state(self) -> State:
        """Whether it is still to be measured, is being measured, or was found to have kept the rule or not.

        ``unknown``: the Book has an error, and nobody said that it is measured. ``missed``: it cools by its records,
        and what was read misses a limit of today: nobody waits for another reading.
        """
        if self.missed is not None and (self.record is None or self.record.outcome != CoolingRecord.Outcome.NOT_MET):
            return "missed"
        if self.record is None:
            known = self.judged or self.override is not None or self.breached_at is not None
            return "owed" if known else "unknown"
        if self.outdated and self.record.outcome == CoolingRecord.Outcome.MET:
            return "owed"
        return {"cooling": "cooling", "met": "met", "not_met": "not_met"}[self.record.outcome]  # type: ignore[return-value]  # the three outcomes

    @property
    def dismissible(self) -> bool:
        """Whether the owner can say that nothing was made by the steps that an edit broke, and mended again."""
        noted_only = self.breached_at is not None and self.override is None and self.record is None
        return noted_only and self.earlier and self.state == "owed"

    @property
    def settled(self) -> bool:
        """Whether it was measured to have kept the rule, and is no older than it keeps when it is used."""
        return self.state == "met" and self.aged_min is None

    @property
    def too_old(self) -> bool:
        """Whether it was cold in time by what was measured, and will be older than it keeps when it is used."""
        return self.state == "met" and self.aged_min is not None

    @property
    def answered(self) -> bool:
        """Whether what was measured answers for it: not before production has begun, when it is still to be made."""
        return self.settled and self.started

    @property
    def to_measure(self) -> bool:
        """Whether a reading is still wanted: it is there, and nothing shows that all of it was cold in time."""
        return not self.settled and (self.state != "not_met" or not self.discarded or bool(self.open_parts))

    @property
    def is_batch(self) -> bool:
        """Whether it is a batch of a recipe, not a dessert."""
        return self.item.kind == "recipe"

    @property
    def to_remake(self) -> bool:
        """Whether something was thrown away, nothing was made anew, and nothing else is still to be measured."""
        return self.state == "not_met" and self.discarded and not self.open_parts

    @property
    def all_gone(self) -> bool:
        """Whether all that was made was thrown away, not single vessels or loads, and nothing was made anew."""
        return self.to_remake and (not self.gone or len(self.gone) >= self.parts)

    @property
    def unanswered(self) -> bool:
        """Whether the owner has not said what is measured of what breaks the rule, or not for today's steps.

        What somebody measured before production has begun is of an earlier batch, or of one the owner knows nothing of.
        """
        if self.answered or (self.together is not None and not self.alone):
            return False
        return self.broken and (self.override is None or self.changed)


#: Key of an order -> what of it is marked.
Marks = Mapping[int, Mapping[Item, CoolingMark]]


def cooling_marks(orders: Sequence[Order], book: Book | None = None) -> Marks:
    """Return the marks of orders, whose lines come with their products.

    Three queries, one for new verdicts, and three for other orders where something is made hot: a batch that is made
    for several of them on one day may break a rule that each alone keeps.

    Marked is what breaks the rule by the Book in force, and what was measured. What the owner said would be measured
    stays marked until it is, whatever today's steps are: it broke the rule by those the quote was sent with. So does
    what an edit broke while it may have been in the making (``breaches``). Where the Book has an error every line is
    marked: that nothing can be judged is not that the rule is kept.
    """
    if not orders:
        return {}
    book = book or book_now()
    judged = judge({order.pk: units_of(order) for order in orders}, book) if book else {}
    together = broken_together(orders, book) if book else {}
    overrides = overrides_of({order.quote_id for order in orders})
    breaches = breaches_of([order.pk for order in orders])
    records = records_of(order.pk for order in orders)
    marks: dict[int, dict[Item, CoolingMark]] = {}
    for order in orders:
        found = judged.get(order.pk, Judgement()) if book else None
        of_order = {item: rows for (pk, item), rows in records.items() if pk == order.pk}
        alone = {one.item: one.mark for one in found.broken} if found else {}
        others = {item: one for item, one in together.get(order.pk, {}).items() if one.broken.mark != alone.get(item)}
        breached = {item: one for item, one in breaches.get(order.pk, {}).items() if breach_stands(one, book)}
        one_order = _OrderMarks(order, found, overrides[order.quote_id], of_order, others, breached, book)
        if of_one := one_order.marks():
            marks[order.pk] = of_one
    _with_reasons(marks)
    return _aged(_asking_room_safe(marks, orders, book), orders, book) if book else marks


def _with_reasons(marks: dict[int, dict[Item, CoolingMark]]) -> None:
    """Add the owner's reasons to what breaks the rule only together; a query where something does."""
    together = {
        (pk, item): mark.together
        for pk, of_order in marks.items()
        for item, mark in of_order.items()
        if mark.together is not None
    }
    recorded = reasons_of("order", {pk for one in together.values() for pk in one.keys}) if together else {}
    for (pk, item), one in together.items():
        rows, orders = recorded.get(item.pk, ()), frozenset(one.keys)
        given, void = given_by_all(one, orders, rows), out_of_force(one, orders, rows, pk)
        marks[pk][item] = replace(marks[pk][item], given=given, void=void)


def _aged(marks: dict[int, dict[Item, CoolingMark]], orders: Sequence[Order], book: Book) -> Marks:
    """Mark what was measured so long ago that it is older than it keeps when it is used."""
    measured = [order for order in orders if any(one.record for one in marks.get(order.pk, {}).values())]
    for order in measured:
        made = {item: one.record for item, one in marks[order.pk].items() if one.record is not None}
        for item, minutes in aged(order, made, book).items():
            marks[order.pk][item] = replace(marks[order.pk][item], aged_min=minutes)
    return marks


def _asking_room_safe(
    marks: dict[int, dict[Item, CoolingMark]], orders: Sequence[Order], book: Book
) -> dict[int, dict[Item, CoolingMark]]:
    """Mark which of what broke the rule is entered as safe at room temperature by now: then both cannot be right.

    One query where batches are marked by what they were.
    """
    earlier = [one for of_order in marks.values() for one in of_order.values() if one.earlier and one.record is None]
    batches = {one.item.pk for one in earlier if one.item.kind == "recipe"}
    recipes = RecipeRow.objects.filter(pk__in=batches).values_list("pk", "code") if batches else ()
    codes = {line.product_id: line.product.code for order in orders for line in order.lines.all()}
    safe = {Item("recipe", pk) for pk, code in recipes if recipe_room_safe(code, book)}
    safe |= {Item("product", pk) for pk, code in codes.items() if product_room_safe(code, book)}
    for one in earlier:
        if one.item in safe:
            marks[one.order_id][one.item] = replace(one, room_safe=True)
    return marks


@dataclass(frozen=True, slots=True)
class _OrderMarks:
    """Makes the marks of one order: of its lines, then of the batches made for it."""

    order: Order
    judgement: Judgement | None
    overrides: Mapping[Item, CoolingOverride]
    records: Mapping[Item, Sequence[CoolingRecord]]
    together: Mapping[Item, Together]
    breaches: Mapping[Item, Breach]
    book: Book | None

    def marks(self) -> dict[Item, CoolingMark]:
        """Return what is broken or was measured, and what was to be measured and is not judged any more.

        Where nothing is judged that is every line.
        """
        judgement = self.judgement or Judgement()
        broken = {item: one.broken for item, one in self.together.items()}
        broken |= {one.item: one for one in judgement.broken}
        lines = {Item("product", line.product_id): line.name for line in self.order.lines.all()}
        stated = {item for item in self.overrides if self._stays(item, judgement, lines)}
        measured = {item for item, rows in self.records.items() if rows}
        wanted = broken.keys() | measured | stated | self.breaches.keys()
        if self.judgement is None:
            wanted |= lines.keys()
        batches = sorted(item for item in wanted if item.kind == "recipe")
        every = [*(item for item in lines if item in wanted), *batches]
        return {item: self._mark(item, broken.get(item), lines.get(item, "")) for item in every}

    def _stays(self, item: Item, judgement: Judgement, lines: Mapping[Item, str]) -> bool:
        """Return whether something is measured although today's steps may keep the rule.

        What a revision took over from the one before, and did not record again, may have kept it when it was sent.
        """
        own = self.overrides[item].recorded_at >= self.overrides[item].quote.created_at
        return item not in judgement.judged or (own and (item.kind == "recipe" or item in lines))

    def _mark(self, item: Item, one: Broken | None, name: str) -> CoolingMark:
        rows, override, breach = self.records.get(item, ()), self.overrides.get(item), self.breaches.get(item)
        parts = max(1 if one is None else one.parts, 1 if breach is None else breach.parts)
        units, only_together = units_of(self.order), self._only_together(item, one)
        each = coolings_now(
            asked := asked_of(one),
            rows,
            lambda of: self._parts(item, of, parts),
            lambda: limits_of(item, units, self.book, override, rows),
            alone=not only_together,
        )
        now = that_counts(each)
        batch, found = now.batch, now.batch.found
        rejected = (row for row in rows if row != found.record and row.outcome == CoolingRecord.Outcome.NOT_MET)
        failed = [row for row in rejected if row not in batch.rows or row.part not in found.gone]
        return CoolingMark(
            order_id=self.order.pk,
            item=item,
            name=name or batch_name(one, rows, override, breach),
            override=override,
            record=found.record,
            failed=failed[-1] if failed else None,
            never=one is not None and one.never,
            judged=self.judgement is not None,
            why="" if one is None else one.why,
            earlier=one is None and (override or breach) is not None and self.judgement is not None,
            breached_at=None if breach is None else breach.at,
            together=self.together.get(item),
            alone=item in self.together and not only_together,
            open_parts=found.open_parts,
            parts=found.parts,
            discarded=found.discarded,
            short=None if one is None else one.short,
            missed=now.missed,
            changed=self._changed(item, one, override),
            gone=found.gone,
            broken=one is not None,
            steps_mark="" if one is None else one.mark,
            outdated=now.outdated,
            started=self.order.status != OrderStatus.CONFIRMED,
            open_coolings=names_open(each),
            asked=asked,
        )

    def _parts(self, item: Item, rows: Sequence[CoolingRecord], parts: int) -> int:
        """Return in how many vessels a batch stands, ``parts`` by today's Book: made for these orders, or for this one.

        What is not made so by now was in as many as its records say, and as its breach does.
        """
        if not rows or (item in self.together) == bool(rows[-1].common):
            return parts
        breach = self.breaches.get(item)
        if not rows[-1].common:
            return rows[-1].parts
        return max([1, *(row.parts for row in rows), 1 if breach is None or not breach.orders else breach.parts])

    def _changed(self, item: Item, one: Broken | None, override: CoolingOverride | None) -> bool:
        """Return whether what is measured instead was recorded for other steps or another verdict."""
        return (
            one is not None
            and override is not None
            and not self._only_together(item, one)
            and override.mark != one.mark
        )

    def _only_together(self, item: Item, one: Broken | None) -> bool:
        """Return whether a batch breaks the rule as several orders make it at once, and in this order's amount not."""
        return one is not None and item in self.together and self.together[item].broken is one


def book_now() -> Book | None:
    """Return today's Book; None while the catalog has an error."""
    try:
        return book_current()
    except CannotPrice:
        return None


def open_together(marks: Marks) -> frozenset[tuple[int, int]]:
    """Return the keys of recipes and orders for which a batch breaks a rule only together, and is not measured yet."""
    every = (mark for of_order in marks.values() for mark in of_order.values())
    return frozenset((mark.item.pk, mark.order_id) for mark in every if mark.together is not None and not mark.settled)
