"""Whether what was measured can be what an order is made from, and not an earlier batch or what was discarded."""

from collections.abc import Sequence
from datetime import datetime

from catalog.kitchen.selectors import local_day
from orders.cooling_log.measurables import Measurable
from orders.cooling_log.measured import standing
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.plans import earliest_making, planned_making, production_started
from orders.cooling_log.selectors import book_now
from orders.orders.models import Order
from orders.records.cooling_errors import BeforePlannedDay, BeforeProduction, BeganBeforeDone, EarlierBatch, NotMadeYet
from orders.records.states import OrderStatus


def check_made(
    order: Order, one: Measurable, started_at: datetime | None, readings: Sequence[Reading], at: datetime
) -> None:
    """Refuse what was measured before this thing can have been made for this order."""
    first = earliest_making(one.made_for or (order,), one.work, book_now(), at=at)
    # Only of a confirmed order can production be started.
    started = "" if order.status == OrderStatus.CONFIRMED else "started"
    facts = {"order": order.number, "item": one.name, "first": first, "started": started}
    if started_at is not None and started_at < first:
        raise NotMadeYet(place="day", at=started_at, **facts)
    if readings[0].at < first:
        raise NotMadeYet(place="readings-0-time", at=readings[0].at, **facts)


def check_batch(order: Order, one: Measurable, began: datetime, at: datetime) -> None:
    """Refuse what was made before its planned day, or before its order was confirmed, as a batch still to be made.

    Once production has started, what began before that, also on the same day, or before its planned day.
    """
    orders = one.made_for or (order,)
    facts = {"order": order.number, "item": one.name, "at": began}
    planned = planned_making(orders, one.work, book_now(), at=at)
    if any(each.status != OrderStatus.CONFIRMED for each in orders):
        started = production_started(orders)
        # Times are entered to the minute.
        if started is not None and began < started.replace(second=0, microsecond=0):
            raise BeforeProduction(place="made_from", started=started, **facts)
        if planned is not None and local_day(began) < local_day(planned):
            raise BeforePlannedDay(place="made_from", planned=planned, **facts)
        return
    confirmed = min(each.confirmed_at for each in orders)
    if began < confirmed or (planned is not None and local_day(began) < local_day(planned)):
        raise EarlierBatch(place="made_from", planned=planned or confirmed, **facts)


def check_remade(one: Measurable, *, common: bool | None, began: datetime | None) -> None:
    """Refuse a batch begun before all of the other one was discarded, the order's own or that for several orders.

    What is made again is begun after that, in whichever of the two ways it is made.
    """
    if not one.is_common or began is None or one.of_batch(common=common).records:
        return
    other = one.of_batch(common=not common).records
    found = standing(other, one.parts_when(common=not common))
    if not found.discarded or found.open_parts:
        return
    over = max((row.read[-1].at for row in other if row.action and row.read), default=began)
    if began < over:
        action = CoolingRecord.Action.DISCARDED
        parts = one.parts_when(common=common)
        raise BeganBeforeDone(place="started_time", action=action, parts=parts, item=one.name, at=began, over=over)
