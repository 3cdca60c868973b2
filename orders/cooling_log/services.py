"""Recording what was measured while a dessert of an order cooled."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from math import ceil
from typing import Final

from django.db import transaction

from orders.cooling_log.deadlines import at_most, deadlines, first_missed
from orders.cooling_log.measurables import Measurable, measurable
from orders.cooling_log.models import EVERY, CoolingRecord, Reading, readings_written
from orders.cooling_log.this_order import check_batch, check_made, check_remade
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import (
    ActionMissing,
    BatchMissing,
    BeganBeforeDone,
    BrokenAlready,
    CountUnknown,
    LoadMissing,
    LoadsApart,
    LoadsApartPlanned,
    NoSuchPart,
    NotShownInTime,
    PartMissing,
    ReadingBeforeStart,
    ReadingContradicts,
    ReadingInFuture,
    ReadingMissing,
    ReadingOfOther,
    ReadingTooSoon,
    ReadingUnlikely,
    ReheatedBefore,
    ReheatingTakes,
    StartMissing,
    StillTooWarm,
    WarmerAgain,
    WarmestMissing,
)
from orders.records.errors import (
    ChangedMeanwhile,
    OrderCanceled,
    OrderError,
)
from orders.records.states import OrderStatus
from orders.records.transitions import audit

#: How far a clock on the wall may be ahead of the server's.
_CLOCKS: Final = timedelta(minutes=5)
#: Food read colder than this is frozen, or read in the other unit [°C]; own choice.
FROZEN_C: Final = Decimal(-3)
#: Nothing gets cold sooner than this after it was hot; own choice.
_COOLS_FOR: Final = timedelta(minutes=15)
#: Nor in less than this part of the likely time, where one is estimated; own choice.
_FASTER: Final = 6
#: Reheating to 165 °F takes this long at least, and cooling from there so long; own choice.
_REHEATS_FOR: Final = timedelta(minutes=10)
_COOLS_AGAIN_FOR: Final = timedelta(minutes=30)
#: How much warmer a later reading of cooling food may be: another place of the probe [°C]; own choice.
_WARMER_BY: Final = Decimal(3)
#: How far two readings of the same minute may differ: one is rounded in the other unit [°C]; own choice.
_READ_TO: Final = Decimal("0.6")
_OUTCOME: Final = CoolingRecord.Outcome
_ACTION: Final = CoolingRecord.Action


@dataclass(frozen=True, slots=True)
class RecordData:
    """What was measured: new readings, whether the rule was kept, and what was done where it was not.

    ``part`` is the number of the vessel or load that was measured, 0 for every one; None where there is one.
    ``common`` tells whether the batch was made at once for all orders of its day; None where it is for one anyway.
    ``made_from`` tells that the order is made from it although its plan makes it later. ``cooling`` is the number of
    the cooling that was measured, where each of several is measured for itself; None for the first that is open.
    """

    item: Item
    readings: Sequence[Reading]
    outcome: str
    started_at: datetime | None = None
    action: str = ""
    note: str = ""
    part: int | None = None
    common: bool | None = None
    made_from: bool = False
    cooling: int | None = None


@transaction.atomic(durable=True)
def cooling_record_add(*, order_id: int, data: RecordData, by: str, at: datetime) -> CoolingRecord:
    """Record what was measured of a dessert of an order. The same sent twice is one record.

    Readings of a record that goes on are carried into the next, and its clock runs on: the earliest start that was
    recorded counts. That the rule was kept is taken only where the readings show it: each limit at its time, counted
    from the start of cooling, and cold at the end. That it still cools is taken until a reading shows a limit missed.

    Raises
    ------
    Order.DoesNotExist
        If there is none.
    OrderCanceled
        If the order is canceled.
    ChangedMeanwhile
        If the dessert is not on the order, or asks for no cooling.
    ReadingMissing, ReadingInFuture, ReadingBeforeStart, NotMadeYet
        If the readings cannot be.
    EarlierBatch, BeforeProduction, BeforePlannedDay
        If it began before its planned day, before the order was confirmed, or before production started, and it is not
        said that the order is made from it.
    LoadsApart
        If one reading is to stand for loads that leave the heat one after the other.
    BeganBeforeDone, ReheatingTakes, ReadingContradicts
        If it contradicts what was recorded: it began before the last cooling was over, or before it can have been
        reheated, or another reading of the same minute was recorded.
    ReadingOfOther
        If a reading of it was recorded of another of its coolings.
    BatchMissing
        If it may be made at once for several orders, and it is not said whether it was.
    PartMissing, LoadMissing
        If it stands in several vessels, or is made in several loads, and none is named.
    NoSuchPart
        If a number is named that it does not have.
    WarmestMissing, CountUnknown
        If no number tells what was measured from the rest, and it is not said that the readings are of the warmest.
    StartMissing, StillTooWarm, NotShownInTime, ReadingTooSoon, ReadingUnlikely, WarmerAgain
        If the readings do not show that the rule was kept.
    BrokenAlready
        If it is said to cool on, and a reading shows that a limit was missed.
    ActionMissing, ReheatedBefore
        If it was not kept and nothing was done, or it was reheated before.
    """
    order = Order.objects.select_for_update().get(pk=order_id)
    if order.status == OrderStatus.CANCELED:
        raise OrderCanceled(order=order.number)
    one = _measured(order, data)
    if one.is_common and data.common is None:
        raise BatchMissing(place="common", item=one.name, orders=[other.number for other in one.made_for])
    check_remade(one, common=data.common, began=_earliest(data))
    one = one.of_batch(common=data.common)
    part = _part(one, data)
    if _sent_before(one, data, part):
        return one.of_part(part)[-1]
    _check_apart(one, data, part)
    _check_agrees(one, data, part)
    _check_own(one, data, part)
    started_at, readings = _together(one, data, part)
    _check_anew(one, data, part, started_at or readings[0].at)
    _check_times(started_at, readings, at)
    check_made(order, one, started_at, readings, at)
    if one.going_on_in(part) is None and not data.made_from and data.outcome != _OUTCOME.NOT_MET:
        check_batch(order, one, started_at or readings[0].at, at)
    if data.outcome == _OUTCOME.MET:
        _check_met(one, started_at, readings)
    if data.outcome == _OUTCOME.COOLING and started_at is not None:
        _check_in_time(one, started_at, readings)
        _check_pace(one, started_at, readings)
    action = _action(one, data, part) if data.outcome == _OUTCOME.NOT_MET else ""
    record = CoolingRecord.objects.create(
        order=order,
        **{f"{data.item.kind}_id": data.item.pk},
        item=one.name,
        rule=one.limits.rule[:200],
        started_at=started_at,
        readings=readings_written(readings, one.limits.part),
        outcome=data.outcome,
        action=action,
        note=data.note.strip(),
        part=part,
        parts=_parts(one, data),
        steps_mark=one.steps_mark,
        common=sorted(other.pk for other in one.made_for) if one.is_common and data.common else [],
        recorded_by=by,
        recorded_at=at,
    )
    params = {"item": one.name, "outcome": data.outcome, "action": action, "made_from": data.made_from}
    audit(order, "measured", by=by, at=at, note=record.note, params=params)
    return record


def _measured(order: Order, data: RecordData) -> Measurable:
    """Return what was measured: of several coolings of one item that which is named, else the first that is open."""
    found = [one for one in measurable(order) if one.item == data.item]
    named = [one for one in found if one.number == data.cooling]
    one = next(iter(named or sorted(found, key=lambda one: not one.open)), None)
    if one is None or (data.cooling and not named):
        raise ChangedMeanwhile(what=order.number)
    return one


def _part(one: Measurable, data: RecordData) -> int:
    """Return the number of the vessel that was measured; 0 for every one, and where there is but one."""
    parts = one.parts_when(common=data.common)
    if one.needs_warmest(common=data.common):
        if data.part != 0:
            refusal = WarmestMissing if one.counted else CountUnknown
            raise refusal(place="part", item=one.name, pieces=one.pieces)
        return 0
    if parts == 1:
        if data.part not in (None, 0, 1):
            raise NoSuchPart(place="part", item=one.name, part=data.part, parts=parts)
        return 0
    if data.part is None or not 0 <= data.part <= parts:
        missing = LoadMissing if one.item.kind == "product" else PartMissing
        raise missing(place="part", item=one.name, parts=parts)
    return data.part


def _parts(one: Measurable, data: RecordData) -> int:
    """Return how many vessels or loads a record is of; ``EVERY`` where nothing states it and all of them are meant."""
    return one.parts_when(common=data.common) if one.counted else EVERY


def _check_apart(one: Measurable, data: RecordData, part: int) -> None:
    """Refuse one reading for all loads where these leave one after the other; what is thrown away goes at once."""
    if part or _parts(one, data) in (EVERY, 1) or one.apart is None or data.outcome == _OUTCOME.NOT_MET:
        return
    facts = {"item": one.name, "parts": _parts(one, data), "every": one.apart.every_min}
    if one.apart.first is None or one.apart.last is None:
        raise LoadsApart(place="part", **facts)
    raise LoadsApartPlanned(place="part", **facts, first=one.apart.first, last=one.apart.last)


def _check_agrees(one: Measurable, data: RecordData, part: int) -> None:
    """Refuse a reading beside which another one of the same minute was recorded.

    One of all vessels is that of the warmest: no single one was warmer. That the rule was not met after all is taken.
    """
    if data.outcome == _OUTCOME.NOT_MET:
        return
    before = [(row.part, read) for row in one.records for read in row.read]
    for number, new in enumerate(data.readings):
        for of_part, old in before:
            if _minute(new) == _minute(old) and _contradict((part, new), (of_part, old)):
                facts = {"at": old.at, "celsius": new.celsius, "before": old.celsius, "item": one.name}
                facts["parts"] = one.parts_when(common=data.common)
                raise ReadingContradicts(place=f"readings-{number}-time", **facts)


def _check_own(one: Measurable, data: RecordData, part: int) -> None:
    """Refuse a reading that was recorded of another cooling of the same: each has readings of its own."""
    if data.outcome == _OUTCOME.NOT_MET:
        return
    before = {_minute(read) for row in one.others if part == 0 or row.part in (0, part) for read in row.read}
    for number, new in enumerate(data.readings):
        if _minute(new) in before:
            facts = {"item": one.name, "step": one.limits.part, "at": new.at}
            raise ReadingOfOther(place=f"readings-{number}-time", **facts)


def _minute(one: Reading) -> datetime:
    return one.at.replace(second=0, microsecond=0)


def _contradict(new: tuple[int, Reading], old: tuple[int, Reading]) -> bool:
    warmer = new[1].celsius - old[1].celsius
    if new[0] == old[0]:
        return abs(warmer) > _READ_TO
    return warmer > _READ_TO if old[0] == 0 else new[0] == 0 and -warmer > _READ_TO


def _check_anew(one: Measurable, data: RecordData, part: int, began: datetime) -> None:
    """Refuse a cooling that began before the last one of the same thing was over: what was done ends it."""
    if data.outcome == _OUTCOME.NOT_MET and data.action == _ACTION.DISCARDED:
        return
    done = [row for row in one.records if row.action and (part == 0 or row.part in (0, part)) and row.read]
    if not done:
        return
    place = "readings-0-time" if data.started_at is None else "started_time"
    facts = {"item": one.name, "at": began, "over": done[-1].read[-1].at}
    if began < done[-1].read[-1].at:
        parts = one.parts_when(common=data.common)
        raise BeganBeforeDone(place=place, action=done[-1].action, parts=parts, **facts)
    if done[-1].action == _ACTION.REHEATED and began < done[-1].read[-1].at + _REHEATS_FOR:
        raise ReheatingTakes(place=place, minutes=_REHEATS_FOR // timedelta(minutes=1), **facts)


def _earliest(data: RecordData) -> datetime | None:
    """Return when what is said to be made again began; None for what did not keep the rule."""
    if data.outcome == _OUTCOME.NOT_MET:
        return None
    return data.started_at or min((reading.at for reading in data.readings), default=None)


def _sent_before(one: Measurable, data: RecordData, part: int) -> bool:
    """Return whether the latest record says the same and has the same last readings."""
    rows = one.of_part(part)
    if not rows or (not data.readings and data.outcome != _OUTCOME.MET):
        return False
    last = rows[-1]
    same = (last.part, last.outcome, last.action, last.note) == (part, data.outcome, data.action, data.note.strip())
    return same and set(data.readings) <= set(last.read)


def _together(one: Measurable, data: RecordData, part: int) -> tuple[datetime | None, list[Reading]]:
    """Return the start of cooling and all readings, with those of the record that goes on, earliest first.

    What was read before may show already that the rule was kept: then no other reading is asked for.
    """
    before = one.going_on_in(part)
    if not data.readings and (before is None or data.outcome != _OUTCOME.MET):
        raise ReadingMissing(place="readings-0-celsius")
    started_at = min(filter(None, (data.started_at, one.began(part))), default=None)
    every = {*(before.read if before else ()), *data.readings}
    return started_at, sorted(every, key=lambda reading: reading.at)


def shows_met(one: Measurable, part: int = 0) -> bool:
    """Return whether the readings of a record that goes on show already that the rule was kept."""
    before = one.going_on_in(part)
    if before is None:
        return False
    try:
        _check_met(one, one.began(part), before.read)
    except OrderError:
        return False
    return True


def _check_times(started_at: datetime | None, readings: Sequence[Reading], at: datetime) -> None:
    if started_at is not None and started_at > at + _CLOCKS:
        raise ReadingInFuture(place="started_time", at=started_at)
    if readings[-1].at > at + _CLOCKS:
        raise ReadingInFuture(place="readings-0-time", at=readings[-1].at)
    if started_at is not None and readings[0].at < started_at:
        raise ReadingBeforeStart(place="readings-0-time", at=readings[0].at, start=started_at)


def _check_believable(one: Measurable, started_at: datetime | None, readings: Sequence[Reading]) -> None:
    """Refuse readings that show nothing: frozen food, cold sooner than anything cools, or warmer again later."""
    coldest = min(readings, key=lambda reading: reading.celsius)
    if coldest.celsius < FROZEN_C:
        raise ReadingUnlikely(place="readings-0-celsius", celsius=coldest.celsius)
    if started_at is not None and readings[-1].at < started_at + _COOLS_FOR:
        raise ReadingTooSoon(place="readings-0-time", at=readings[-1].at, minutes=_COOLS_FOR.seconds // 60)
    for before, after in pairwise(readings):
        if after.celsius > before.celsius + _WARMER_BY:
            raise WarmerAgain(place="readings-0-celsius", celsius=after.celsius, at=after.at)
    if started_at is not None:
        _check_pace(one, started_at, readings)


def _check_pace(one: Measurable, started_at: datetime, readings: Sequence[Reading]) -> None:
    """Refuse a reading that is cold sooner than anything cools, or than what was measured can."""
    again = _COOLS_AGAIN_FOR if _reheated(one.records) else _COOLS_FOR
    least = max(again, timedelta(minutes=ceil((one.likely_min or 0) / _FASTER)))
    cold = (reading for reading in readings if at_most(reading.celsius, one.limits.limit_c))
    first = next(cold, None)
    if first is not None and first.at < started_at + least:
        minutes = int(least / timedelta(minutes=1))
        raise ReadingTooSoon(place="readings-0-time", at=first.at, minutes=minutes)


def _check_met(one: Measurable, started_at: datetime | None, readings: Sequence[Reading]) -> None:
    _check_believable(one, started_at, readings)
    limits, last = one.limits, readings[-1]
    if not at_most(last.celsius, limits.limit_c):
        raise StillTooWarm(place="outcome", item=one.name, celsius=last.celsius, limit_c=limits.limit_c)
    if not limits.legs:
        return
    if started_at is None:
        raise StartMissing(place="started_time", rule=limits.rule)
    for limit_c, deadline in deadlines(limits, started_at, readings):
        if not any(at_most(one.celsius, limit_c) and one.at <= deadline for one in readings):
            raise NotShownInTime(place="outcome", item=one.name, limit_c=limit_c, by=deadline)


def _check_in_time(one: Measurable, started_at: datetime, readings: Sequence[Reading]) -> None:
    """Refuse that something cools on of which a reading shows that a limit was missed: what is done is decided now."""
    late = first_missed(one.limits, started_at, readings)
    if late is not None:
        facts = {"celsius": late.reading.celsius, "at": late.reading.at, "limit_c": late.limit_c, "by": late.due}
        raise BrokenAlready(place="outcome", item=one.name, **facts)


def _action(one: Measurable, data: RecordData, part: int) -> str:
    if data.action not in (_ACTION.REHEATED, _ACTION.DISCARDED):
        raise ActionMissing(place="action", item=one.name)
    if data.action == _ACTION.REHEATED and _reheated(one.of_part(part)):
        raise ReheatedBefore(place="action", item=one.name)
    return data.action


def _reheated(records: Sequence[CoolingRecord]) -> bool:
    """Return whether what is there now was reheated before; what was made anew after a discard was not."""
    done = [row.action for row in records if row.action]
    return bool(done) and done[-1] == _ACTION.REHEATED
