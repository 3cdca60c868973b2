"""What the demo's kitchen measures where a dessert breaks the cooling rule: said by the owner, done by the cook."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final

from catalog.cooling.selectors import rule_in_force
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.measuring_content import Limits, Measuring, hours_of, strictest
from orders.quotes.cooling.reading_times import limits_read
from orders.quotes.cooling.selectors import ruled_now
from orders.quotes.cooling.services import OverrideData, cooling_overrides_record
from orders.quotes.models import Quote

COOK: Final = "tomas"
#: 85, 68 and 40 °F.
_WARM, _IN_TIME, _COLD = Decimal("29.444444"), Decimal(20), Decimal("4.444444")


def probed(limits: Limits) -> Measuring:
    """Return that the cook probes the fullest vessel when the limits are due; after two hours where there are none."""
    return Measuring("vessel", tuple(hour or Decimal(2) for hour in hours_of(limits)), "Tomas Reyl")


def probed_in_force() -> Measuring:
    """Return the same by the kitchen's rule, for batches of several orders."""
    return probed(strictest([rule_in_force().legs]))


def overrides_recorded(draft: Quote, *, by: str, at: datetime) -> None:
    """Record what is measured instead for everything on a draft that breaks the rule."""
    found = ruled_now(draft)
    limits = limits_read(found)
    overrides = [OverrideData(one.item, probed(limits[one.item])) for one in found.broken]
    if overrides:
        cooling_overrides_record(quote_id=draft.pk, overrides=overrides, by=by, at=at)


def cooling_measured(order: Order, starts: datetime, *, fails_first: bool) -> None:
    """Record the readings of everything on an order that has to be measured, the day before it leaves."""
    begun = (starts - timedelta(days=1)).replace(hour=9, minute=30)
    for mark in cooling_marks([order]).get(order.pk, {}).values():
        if fails_first:
            # Thrown away, and made anew.
            _record(order, mark, begun, [(2, _WARM)], CoolingRecord.Outcome.NOT_MET, action="discarded")
        again = begun + timedelta(hours=3 if fails_first else 0)
        # Each cooling that breaks its rule is measured for itself, the first that is open by then.
        for number in range(max(1, len(mark.asked))):
            began = again + timedelta(hours=5 * number)
            _record(order, mark, began, [(2, _IN_TIME), (4, _COLD)], CoolingRecord.Outcome.MET)


def _record(
    order: Order,
    mark: CoolingMark,
    begun: datetime,
    readings: list[tuple[int, Decimal]],
    outcome: CoolingRecord.Outcome,
    *,
    action: str = "",
) -> None:
    read = [Reading(begun + timedelta(hours=hours), celsius) for hours, celsius in readings]
    data = RecordData(mark.item, read, outcome, started_at=begun, action=action, part=0, common=True, made_from=True)
    cooling_record_add(order_id=order.pk, data=data, by=COOK, at=read[-1].at + timedelta(minutes=5))
