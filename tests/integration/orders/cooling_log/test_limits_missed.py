"""What still cools by its records and misses a limit of today by what was read: it says stop, as what is not kept."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.products.models import Product
from orders.cooling_log.models import CoolingRecord, Reading, readings_written
from orders.cooling_log.selectors import cooling_marks
from orders.orders.models import Order
from orders.orders.services import order_deliver
from orders.records.cooling_errors import RuleWasNotMet
from tests.factories import BY, EVENT
from tests.integration.orders.cooling_log.measuring import START, TART, celsius, deep_order, mark_of, read, state
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused

pytestmark = pytest.mark.django_db

STOP = "Stop: too warm. The rule asks for 70 °F or colder by"


def recorded(order: Order, *readings: Reading, part: int = 0, parts: int = 1) -> CoolingRecord:
    """A record of earlier days that says that it still cools, whatever the readings show by today's limits."""
    return CoolingRecord.objects.create(
        order=order,
        product=Product.objects.get(code=TART),
        item="Custard tart, 10 cm",
        started_at=START,
        readings=readings_written(readings),
        outcome="cooling",
        part=part,
        parts=parts,
        recorded_by="tomas",
        recorded_at=START + timedelta(hours=3),
    )


def text(client: Client, address: str, **query: str) -> str:
    return " ".join(client.get(address, query).content.decode().split())


def test_what_misses_a_limit_of_today_does_not_read_as_still_cooling() -> None:
    order = deep_order()
    recorded(order, read(2.5, 80))
    assert state(order) == "missed"
    mark = mark_of(order)
    assert mark is not None
    assert mark.missed is not None
    assert mark.missed.limit.limit_c == pytest.approx(float(celsius(70)))
    assert mark.missed.limit.due == START + timedelta(hours=2)
    assert not mark.settled


@pytest.mark.parametrize("readings", [[(1, 100)], [(2, 69), (3, 60)], [(1.5, 70)]])
def test_what_misses_nothing_still_cools(readings: list[tuple[float, float]]) -> None:
    order = deep_order()
    recorded(order, *(read(*one) for one in readings))
    assert state(order) == "cooling"


def test_one_vessel_of_several_that_misses_it_is_enough() -> None:
    order = deep_order()
    recorded(order, read(1.5, 69), part=1, parts=2)
    recorded(order, read(2.1, 75), part=2, parts=2)
    assert state(order) == "missed"
    page = text(signed_in("owner"), reverse("order", args=[order.pk]))
    assert STOP in page
    assert "Vessel 2 of 2 was at" in page


def test_pages_and_sheets_say_stop() -> None:
    order = deep_order()
    recorded(order, read(2.5, 80))
    cook, owner = signed_in("kitchen"), signed_in("owner")
    day = EVENT.date().isoformat()
    prep = text(cook, reverse("sheet-prep"), first=day, last=day)
    cold = text(cook, reverse("sheet-cold"), first=day, last=day)
    page = text(owner, reverse("order", args=[order.pk]))
    log = text(cook, reverse("order-cooling", args=[order.pk]))
    for found in (prep, cold, page, log):
        assert STOP in found
        assert "Record “Not met” and what was done with it." in found
        assert "So far" not in found
        assert "Still cooling: more readings follow</td>" not in found


def test_it_does_not_go_out_without_a_word() -> None:
    order = deep_order()
    recorded(order, read(2.5, 80))
    found = cooling_marks([Order.objects.prefetch_related("lines__product").get(pk=order.pk)])
    assert [mark.state for mark in found[order.pk].values()] == ["missed"]
    Order.objects.filter(pk=order.pk).update(status="in_production")
    with refused(RuleWasNotMet, match="Custard tart, 10 cm"):
        order_deliver(order_id=order.pk, note="", owner=True, by=BY, at=EVENT)
