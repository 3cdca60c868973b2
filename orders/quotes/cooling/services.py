"""The owner's record of what is measured instead of a cooling rule, and the refusals where it is missing."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import prefetch_related_objects

from catalog.cooling.amounts import Units
from catalog.cooling.never_hot_claims import NeverHotClaim
from catalog.records.errors import CannotPrice
from catalog.records.reasons import Reason
from catalog.records.versions import unchanged
from costing.contract import Book
from orders.quotes.cooling.chosen import MEASURE_INSTEAD
from orders.quotes.cooling.measuring_content import Limits, Measuring
from orders.quotes.cooling.never_hot import unanswered_steps
from orders.quotes.cooling.reading_times import limits_read
from orders.quotes.cooling.selectors import (
    Broken,
    Item,
    RuledTable,
    item_of,
    overrides_of,
    overrides_version,
    ruled_for_approval,
    ruled_now,
    ruled_table,
    table_units,
)
from orders.quotes.cooling.shared import SharedBatch, shared_open, shared_reason, shared_refusal
from orders.quotes.cooling.stopping import step_at_fault
from orders.quotes.models import CoolingOverride, Quote
from orders.quotes.selectors import quote_locked
from orders.records.cooling_errors import StepsUnanswered
from orders.records.errors import (
    ChangedMeanwhile,
    CoolingRuleBroken,
    KitchenMustCheck,
    KitchenMustLook,
    NeverColdByNow,
    NotJudgedNow,
    QuoteOver,
)
from orders.records.states import QUOTES_ALIVE
from orders.records.transitions import audit


@dataclass(frozen=True, slots=True)
class OverrideData:
    """What is measured instead for one product or batch, and by whom."""

    item: Item
    measuring: Measuring


@transaction.atomic(durable=True)
def cooling_overrides_record(
    *,
    quote_id: int,
    overrides: Sequence[OverrideData],
    by: str,
    at: datetime,
    version: str = "",
    together: Measuring | None = None,
) -> Quote:
    """Record for each item what is measured instead of the cooling rule it breaks, and by whom.

    ``together`` is what is measured of batches that break it only as they are made with promised orders.

    What says the same for the same steps and verdict is not written again. A sent or approved quote takes one too:
    the rule may be broken later than the quote was sent.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    QuoteOver
        If it was declined or withdrawn, or has expired.
    MeasureMissing, MeasurerMissing, HourNotInTime, NamesNobody
        If one lacks a part, or is read later than a limit (:meth:`Measuring.check`).
    ChangedMeanwhile
        If one is about something that breaks no rule.
    Overtaken
        If another override was recorded, or steps or verdicts changed, since ``version``.
    CannotPrice
        If what the quote consists of cannot be read.
    """
    quote = quote_locked(quote_id)
    if quote.status not in QUOTES_ALIVE:
        raise QuoteOver(what=str(quote), status=quote.status)
    found = ruled_for_approval(quote)
    unchanged(quote, version, lambda _: overrides_version(found), name=Reason("the_cooling", {"what": str(quote)}))
    by_item, limits = {one.item: one for one in found.broken}, limits_read(found)
    for data in overrides:
        if data.item not in by_item:
            raise ChangedMeanwhile(what=str(quote))
        _record(found, by_item[data.item], data, limits[data.item], by=by, at=at)
    if together is not None and found.book is not None:
        shared_reason(quote, table_units(quote), found.book, together, by=by, at=at)
    return quote


def _record(found: RuledTable, one: Broken, data: OverrideData, limits: Limits, *, by: str, at: datetime) -> None:
    data.measuring.check(limits, [one.name], f"{one.item}-")
    measured, measured_by = data.measuring.text(step_at_fault(one.missing)), data.measuring.who.strip()
    standing = found.standing(one)
    if standing is not None and (standing.measured, standing.measured_by) == (measured, measured_by):
        return
    CoolingOverride.objects.create(
        quote=found.quote,
        **_about(one.item),
        rule=one.rule[:200],
        measured=measured,
        measured_by=measured_by,
        mark=one.mark,
        recorded_by=by,
        recorded_at=at,
    )
    params = {"item": one.name, "measured_by": measured_by, "chosen": data.measuring.chosen()}
    audit(found.quote, MEASURE_INSTEAD, by=by, at=at, note=measured, params=params)


def _about(item: Item) -> dict[str, int]:
    return {f"{item.kind}_id": item.pk}


def overrides_carried(draft: Quote, quote: Quote) -> None:
    """Copy the latest overrides of a quote to its next revision, in the caller's transaction.

    Each keeps its mark, and with it who recorded it and when: where steps or verdict are others now, it is a
    suggestion that has to be recorded anew.
    """
    for row in overrides_of([quote.pk])[quote.pk].values():
        CoolingOverride.objects.create(
            quote=draft,
            **_about(item_of(row)),
            rule=row.rule,
            measured=row.measured,
            measured_by=row.measured_by,
            mark=row.mark,
            recorded_by=row.recorded_by,
            recorded_at=row.recorded_at,
        )


def check_sending(quote: Quote, units: Units, book: Book, together: Measuring | None = None) -> None:
    """Refuse to send a table that breaks the cooling rule without a record of what is measured instead.

    ``together`` is what is measured of batches that break it only as they are made with promised orders.

    Raises
    ------
    NeverColdByNow
        If something may never get cold: no record helps.
    CoolingRuleBroken
        If nothing was recorded, or it was recorded for other steps or another verdict.
    BrokenWithThis
        If a batch breaks it together with promised orders, and nothing says what is measured of it.
    """
    found = ruled_table(quote, units, book)
    if found.never:
        raise NeverColdByNow(what=str(quote), products=[one.name for one in found.never])
    missing = found.unrecorded
    if missing:
        raise CoolingRuleBroken(what=str(quote), products=[one.name for one in missing])
    shared = shared_open(quote, units, book) if together is None else ()
    if shared:
        raise shared_refusal(shared)


def approval_shared(found: RuledTable) -> tuple[SharedBatch, ...]:
    """Return what of a sent quote breaks the rule only together with promised orders, without what is measured."""
    if found.book is None:
        return ()
    prefetch_related_objects([found.quote], "lines__product")
    units = {line.product.code: line.units for line in found.quote.lines.all()}
    return shared_open(found.quote, units, found.book)


def verdicts_prepare(quote: Quote) -> None:
    """Read the Book and judge a quote's table before a transaction: both are known inside it, and hold up no writer.

    So are the plans of the orders that it may be made with.
    """
    approval_shared(ruled_now(quote))


def check_approval(quote: Quote, *, by_customer: bool) -> None:
    """Refuse an approval of what breaks the cooling rule by today's catalog, or may never get cold.

    It takes an override that was recorded for today's steps and verdict: what was recorded when it broke the rule in
    another way says nothing of this one. What breaks it only together with orders that are promised by now stops the
    customer's too; of the owner it is asked where the order is made.

    What may never get cold is refused whatever is recorded: the window was not checked again since the quote was sent.
    A catalog that cannot price still says what is in it and how it is made, and that is judged. Where it does not even
    say that, nobody approves: neither cooling nor allergens can be judged.

    Raises
    ------
    NotJudgedNow, KitchenMustLook
        If the catalog does not say what is in it; for the owner and for the customer.
    NeverColdByNow, CoolingRuleBroken, StepsUnanswered
        For the owner; the last where nobody has said that a step is cold.
    KitchenMustCheck
        For the customer.
    """
    try:
        found = ruled_for_approval(quote)
    except CannotPrice as error:
        if by_customer:
            raise KitchenMustLook() from error
        raise NotJudgedNow(what=str(quote)) from error
    never, missing, steps = found.never, found.unrecorded, _steps_open(found)
    if by_customer and (never or missing or steps or approval_shared(found)):
        raise KitchenMustCheck()
    if never:
        raise NeverColdByNow(what=str(quote), products=[one.name for one in never])
    if missing:
        raise CoolingRuleBroken(what=str(quote), products=[one.name for one in missing])
    if steps:
        raise StepsUnanswered(recipe=steps[0][0].name, step=steps[0][1][:200])


def _steps_open(found: RuledTable) -> list[tuple[NeverHotClaim, str]]:
    if found.book is None:
        return []
    prefetch_related_objects([found.quote], "lines__product")
    return unanswered_steps([line.product.code for line in found.quote.lines.all()], found.book)
