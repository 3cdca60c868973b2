"""Production does not begin on kitchen sheets that are older than the change in force without somebody saying so."""

from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client
from django.urls import reverse

from catalog.kitchen.selectors import local_day
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.orders.old_sheets import old_sheets
from orders.records.models import AuditEntry
from orders.records.need_errors import SheetsOld
from tests.factories import BY
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.amending import AGREED, amend
from tests.integration.orders.builders import YES, order_make
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: AGREED)


def opened(client: Client, order: Order, sheet: str = "sheet-prep") -> str:
    """Open a sheet of the day of an order; return its words."""
    day = local_day(order.window_start).isoformat()
    return text(client.get(reverse(sheet), {"first": day, "last": day}))


def changed(order: Order) -> Order:
    line = content_read(order.quote.content).lines[0]
    amend(order, {line.product: line.units + 12})
    return Order.objects.select_related("quote").get(pk=order.pk)


def test_sheets_name_the_revision_and_when_they_were_printed() -> None:
    order, kitchen = order_make(), signed_in("kitchen")
    for sheet in ("sheet-prep", "sheet-recipes", "sheet-handover"):
        words = opened(kitchen, order, sheet)
        assert f"{order.number} (revision 1)" in words
        assert "As of " in words
    entry = AuditEntry.objects.get(event="sheets")
    assert (entry.document_pk, entry.params) == (order.pk, {"revision": 1})


def test_a_sheet_opens_where_nothing_can_be_written(monkeypatch: pytest.MonkeyPatch) -> None:
    order, kitchen = order_make(), signed_in("kitchen")

    def full(*_: Any, **__: Any) -> None:
        raise OperationalError("database or disk is full")

    monkeypatch.setattr("orders.orders.old_sheets.audit", full)
    assert f"{order.number} (revision 1)" in opened(kitchen, order)
    assert not AuditEntry.objects.filter(event="sheets").exists()


def test_the_start_names_old_sheets_and_new_ones_settle_it() -> None:
    order, kitchen = order_make(), signed_in("kitchen")
    opened(kitchen, order)
    order = changed(order)
    found = old_sheets(order)
    assert found is not None
    assert (found.revision, found.in_force) == (1, 2)
    page = text(kitchen.get(reverse("order", args=[order.pk])))
    assert "Old kitchen sheets." in page
    assert "is at revision 2." in page
    with refused(SheetsOld, match="are of revision 1; the order is at revision 2"):
        order_start(order_id=order.pk, by=BY, at=AGREED)
    answer = kitchen.post(reverse("order-start", args=[order.pk]), {})
    assert answer.status_code == 422
    assert "Open them again" in text(answer)
    opened(kitchen, order)
    assert old_sheets(order) is None
    assert "Old kitchen sheets." not in text(kitchen.get(reverse("order", args=[order.pk])))


def test_a_tick_of_just_these_starts_production() -> None:
    order, kitchen = order_make(), signed_in("kitchen")
    opened(kitchen, order)
    order = changed(order)
    found: Any = old_sheets(order)
    with refused(SheetsOld, match="at revision 2"):
        order_start(order_id=order.pk, sheets_seen="1-3", by=BY, at=AGREED)
    assert order_start(order_id=order.pk, sheets_seen=found.mark, by=BY, at=AGREED).status == "in_production"


def test_nothing_is_named_where_no_sheet_was_opened_or_nothing_changed() -> None:
    order = order_make()
    assert old_sheets(order) is None
    opened(signed_in("kitchen"), order)
    assert old_sheets(Order.objects.select_related("quote").get(pk=order.pk)) is None
    other = changed(order_make(at=YES))
    assert old_sheets(other) is None
