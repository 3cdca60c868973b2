"""An order of tarts that break the cooling rule, and what is measured of it, for tests."""

from datetime import timedelta
from decimal import Decimal
from typing import Any, Final

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from catalog.rates.models import Station
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.orders.builders import order_make

TART: Final = "custard-tart"
#: The morning before the wedding: when the tarts leave the oven, and when somebody records.
START = EVENT.replace(hour=9, minute=0) - timedelta(days=1)
AFTER = START + timedelta(hours=7)


def catalog_broken() -> None:
    """Let the catalog have an error that stops every computation."""
    Station.objects.filter(code="cold-room").update(hourly="-1")
    catalog_changed()


def celsius(fahrenheit: float) -> Decimal:
    return Decimal(str(round((fahrenheit - 32) * 5 / 9, 6)))


def read(hours: float, fahrenheit: float) -> Reading:
    return Reading(START + timedelta(hours=hours), celsius(fahrenheit))


def deep_order(**facts: Any) -> Order:
    """An order of tarts that break the rule, with what is measured instead on record."""
    if not Product.objects.exists():
        cooling_kitchen_make(**DEEP)
    return order_make(table=table_make(lines=(line_make(TART, 24),), extras=()), **facts)


def tart() -> Item:
    return Item("product", Product.objects.get(code=TART).pk)


def record(order: Order, *readings: Reading, outcome: str = "met", **facts: Any) -> CoolingRecord:
    # The tarts of a load are measured at the warmest.
    data = {"item": tart(), "readings": readings, "outcome": outcome, "started_at": START, "part": 0, **facts}
    return cooling_record_add(order_id=order.pk, data=RecordData(**data), by="tomas", at=AFTER)


def mark_of(order: Order) -> CoolingMark | None:
    found = Order.objects.prefetch_related("lines__product").get(pk=order.pk)
    return cooling_marks([found]).get(order.pk, {}).get(tart())


def state(order: Order) -> str:
    mark = mark_of(order)
    return mark.state if mark else ""
