"""Production does not start on what breaks the cooling rule without the owner's answer for today's steps."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.molds.models import Mold
from catalog.products.models import Product
from orders.cooling_log.measurables import measurable
from orders.cooling_log.plans import planned_making
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import book_now
from orders.cooling_log.starting import UNJUDGED
from orders.cooling_log.this_order import check_batch
from orders.orders.models import Order
from orders.orders.services import order_deliver
from orders.records.cooling_errors import (
    BeforePlannedDay,
    BeforeProduction,
    EarlierBatch,
    StartUnjudged,
    StartWaits,
    TooOld,
    TooOldWaits,
    WaitsForOwner,
)
from orders.records.models import AuditEntry
from orders.records.states import OrderStatus
from tests.cooling_kitchen import MEASURED, cooling_kitchen_make, measuring, measuring_submitted, override_make
from tests.factories import BY, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, TART, deep_order, mark_of, read, record, tart
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db


def make_deep() -> None:
    """Make the tarts so deep and hot that they break the rule."""
    tart = Product.objects.get(code=TART)
    Product.objects.filter(pk=tart.pk).update(fill_height_cm=Decimal("7.5"))
    Mold.objects.update(diameter_cm=Decimal(25))
    catalog_changed()


def shallow_order() -> Order:
    """An order of tarts that keep the rule when they are ordered, and break it since."""
    cooling_kitchen_make()
    order = order_make(table=table_make(lines=(line_make(TART, 24),), extras=()))
    make_deep()
    return order


def status(order: Order) -> str:
    return Order.objects.get(pk=order.pk).status


def test_what_an_edit_broke_waits_for_the_owner() -> None:
    order = shallow_order()
    with refused(StartWaits, match="waits for the owner"):
        order_start(order_id=order.pk, together=measuring(), by=BY, at=START)
    cook = signed_in("kitchen")
    page = text(cook.get(reverse("order", args=[order.pk])))
    assert "Production waits for the owner." in page
    assert "Ask the owner to record on this page what is measured instead, and by whom." in page
    assert cook.post(reverse("order-start", args=[order.pk])).status_code == 422
    assert status(order) == OrderStatus.CONFIRMED


def test_the_owner_answers_from_the_orders_page_and_comes_back_to_it() -> None:
    order = shallow_order()
    owner, form = signed_in("owner"), reverse("quote-cooling", args=[order.quote_id])
    page = owner.get(reverse("order", args=[order.pk])).content.decode()
    assert f'<a href="{form}">Record what is measured instead, and by whom</a>' in page
    item = f"product-{Product.objects.get(code=TART).pk}"
    version = owner.get(form).context["edit"].version
    measured = measuring_submitted(item) | {"version": version}
    answer = owner.post(form, measured)
    assert answer.headers["Location"] == reverse("order", args=[order.pk])
    order_start(order_id=order.pk, by="tomas", at=START)
    assert status(order) == OrderStatus.IN_PRODUCTION


def test_a_reason_for_other_steps_is_none() -> None:
    order = deep_order()
    Product.objects.filter(code=TART).update(fill_height_cm=Decimal("7.9"))
    catalog_changed()
    with refused(StartWaits, match="Custard tart"):
        order_start(order_id=order.pk, by=BY, at=START)


def test_what_was_measured_before_the_start_does_not_answer_for_what_the_owner_has_to() -> None:
    order = deep_order()
    record(order, read(2, 68), read(6, 41), made_from=True)
    Product.objects.filter(code=TART).update(fill_height_cm=Decimal("7.9"))
    catalog_changed()
    with refused(StartWaits, match="Custard tart"):
        order_start(order_id=order.pk, by=BY, at=START)
    override_make(order.quote)
    order_start(order_id=order.pk, by=BY, at=START)
    assert status(order) == OrderStatus.IN_PRODUCTION


def test_a_batch_recorded_after_the_edit_lifts_no_block_of_the_owner() -> None:
    order = shallow_order()
    record(order, read(2, 68), read(6, 41), made_from=True)
    with refused(StartWaits, match="waits for the owner"):
        order_start(order_id=order.pk, by=BY, at=START)
    assert status(order) == OrderStatus.CONFIRMED


def test_an_earlier_batch_counts_only_where_the_order_is_made_from_it() -> None:
    order = deep_order()
    before = {"started_at": START - timedelta(hours=20)}
    with refused(EarlierBatch, match="is an earlier batch"):
        record(order, read(-18, 68), read(-14, 41), **before)
    assert record(order, read(-18, 68), read(-14, 41), **before, made_from=True).outcome == "met"


def test_a_batch_from_before_production_counts_after_the_start_too_only_where_the_order_is_made_from_it() -> None:
    order = deep_order()
    order_start(order_id=order.pk, by=BY, at=START)
    before = {"started_at": START - timedelta(hours=22)}
    with refused(BeforeProduction, match="is an earlier batch"):
        record(order, read(-20, 68), read(-16, 41), **before)
    page = signed_in("kitchen").get(reverse("order-cooling", args=[order.pk])).content.decode()
    assert 'name="made_from"' in page
    assert record(order, read(-20, 68), read(-16, 41), **before, made_from=True).outcome == "met"


def test_what_began_before_production_was_started_is_an_earlier_batch_on_the_same_day_too() -> None:
    """Begun at night for another order, it closed the mark of one whose production was started in the morning."""
    order = deep_order()
    order_start(order_id=order.pk, by=BY, at=START)
    before = {"started_at": START - timedelta(hours=6)}
    with refused(BeforeProduction, match="is an earlier batch"):
        record(order, read(-4, 65), read(-1, 41), **before)
    assert record(order, read(-4, 65), read(-1, 41), **before, made_from=True).outcome == "met"


def test_what_began_before_its_planned_day_is_an_earlier_batch_in_production_too() -> None:
    order = deep_order()
    one = next(one for one in measurable(order) if one.item == tart())
    planned = planned_making((order,), one.work, book_now(), at=START)
    assert planned is not None
    order_start(order_id=order.pk, by=BY, at=planned - timedelta(days=2))
    order.refresh_from_db()
    with refused(BeforePlannedDay, match="by its plan. What began at"):
        check_batch(order, one, planned - timedelta(days=1), planned)
    check_batch(order, one, planned, planned)


def test_what_was_measured_by_other_steps_is_measured_again() -> None:
    order = deep_order()
    order_start(order_id=order.pk, by=BY, at=START)
    record(order, read(2, 68), read(6, 41))
    mark = mark_of(order)
    assert mark is not None
    assert mark.settled
    Product.objects.filter(code=TART).update(fill_height_cm=Decimal("7.9"))
    catalog_changed()
    mark = mark_of(order)
    assert mark is not None
    assert (mark.settled, mark.state, mark.to_measure) == (False, "owed", True)
    shown = mark_shown(mark)
    assert shown.brief == "The steps changed since it was measured"
    assert "The steps changed since it was measured (41 °F" in shown.sentence
    assert "measure it again by today’s steps" in shown.sentence
    with refused(WaitsForOwner, match="Custard tart"):
        order_deliver(order_id=order.pk, by="tomas", at=AFTER)


def test_what_is_older_than_it_keeps_does_not_settle_its_mark_and_the_owner_answers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    order = deep_order()
    record(order, read(2, 68), read(6, 41), made_from=True)
    Product.objects.filter(code=TART).update(keeps_hours=12)
    mark = mark_of(order)
    assert mark is not None
    assert (mark.settled, mark.to_measure) == (False, True)
    order_start(order_id=order.pk, by=BY, at=START)
    old = "measured as cold in time, and older than the 12 h it keeps"
    with refused(TooOldWaits, match=f"{old}. Only the owner can hand it over"):
        order_deliver(order_id=order.pk, by="tomas", at=AFTER)
    with refused(TooOld, match=f"{old}. Enter in the note"):
        order_deliver(order_id=order.pk, owner=True, by="odile", at=AFTER)
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    page = text(signed_in("kitchen").get(reverse("order", args=[order.pk])))
    assert "is older than the 12 h it keeps" in page
    assert "The owner decides whether it goes out" in page
    assert "Cooling is still open." not in page


def test_what_nobody_can_judge_starts_with_the_owners_reason() -> None:
    cooling_kitchen_make()
    order = order_make(table=table_make(lines=(line_make(TART, 24),), extras=()))
    tart = Product.objects.get(code=TART)
    tart.steps.filter(name="Bake").update(minutes=Decimal(-1))
    catalog_changed()
    with refused(StartUnjudged, match="cannot be judged"):
        order_start(order_id=order.pk, by=BY, at=START)
    order_start(order_id=order.pk, together=measuring(), by=BY, at=START)
    assert AuditEntry.objects.get(document_pk=order.pk, event=UNJUDGED).note == f"{MEASURED}. By Tomas"


def test_what_keeps_its_rule_is_not_blamed_while_its_second_load_is_measured() -> None:
    cooling_kitchen_make()
    order = order_make(table=table_make(lines=(line_make(TART, 30),), extras=()))
    record(order, read(1.5, 68), read(5, 40), part=1)
    mark = mark_of(order)
    assert mark is not None
    shown = mark_shown(mark)
    assert (shown.sentence, shown.brief) == ("Number 2 of 2 is still to be measured.", "Still to be measured")
