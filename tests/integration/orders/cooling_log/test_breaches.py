"""What an edit broke while an order may have been in the making stays marked, whatever the next edit mends."""

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.vessels.models import Vessel
from orders.cooling_log.breach_services import breach_dismiss, breaches_note
from orders.cooling_log.breaches import BREACHED
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import BreachStands
from orders.records.models import AuditEntry
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import BY, line_make, table_make, user_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, deep_order, read, tart
from tests.integration.orders.quotes.cooling.drafts import tart_deep
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db
LONG_BEFORE = START - timedelta(days=40)


def ordered() -> Order:
    """An order of tarts that keep the rule, in the deep mold and filled low."""
    if not Product.objects.exists():
        cooling_kitchen_make(**DEEP | {"diameter_cm": "12", "height_cm": "1.2"})
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    return Order.objects.prefetch_related("lines__product").latest("pk")


def broken_and_mended(order: Order, *, seen_at: datetime) -> None:
    tart_deep("6")
    assert [mark.state for mark in cooling_marks([order])[order.pk].values()] == ["owed"]
    breaches_note(at=seen_at)
    tart_deep("1.2")


def mark_of(order: Order) -> CoolingMark | None:
    return cooling_marks([order]).get(order.pk, {}).get(tart())


def test_what_is_mended_stays_marked_where_production_has_begun() -> None:
    order = ordered()
    order_start(order_id=order.pk, by=BY, at=LONG_BEFORE)
    broken_and_mended(order, seen_at=LONG_BEFORE)
    mark = mark_of(order)
    assert mark is not None
    assert (mark.state, mark.earlier, mark.breached_at) == ("owed", True, LONG_BEFORE)
    sentence = mark_shown(mark).sentence
    assert sentence.startswith("Not cold in time, or not stated, by the steps as of ")
    assert sentence.endswith("Measure it, or make it again by today’s steps and measure that.")


def test_or_where_it_may_have_begun_by_the_plan() -> None:
    order = ordered()
    broken_and_mended(order, seen_at=START)
    assert mark_of(order) is not None


def test_long_before_it_is_made_a_mended_edit_leaves_no_mark() -> None:
    order = ordered()
    broken_and_mended(order, seen_at=LONG_BEFORE)
    assert mark_of(order) is None


def test_what_stands_broken_until_it_is_made_is_noted_then() -> None:
    order = ordered()
    tart_deep("6")
    breaches_note(at=LONG_BEFORE)
    assert not AuditEntry.objects.filter(event=BREACHED).exists()
    breaches_note(at=START)
    tart_deep("1.2")
    assert mark_of(order) is not None


def test_it_is_noted_once_and_the_history_says_so() -> None:
    order = ordered()
    tart_deep("6")
    assert [breaches_note(at=START), breaches_note(at=START)] == [1, 0]
    catalog_changed()
    assert breaches_note(at=AFTER) == 0
    (entry,) = AuditEntry.objects.filter(document="order", event=BREACHED)
    assert entry.at == START
    page = signed_in("owner").get(reverse("order", args=[order.pk])).content.decode()
    assert "Cooling rule broken while it may have been in production" in page


def browser_of(who: str) -> Client:
    client = Client()
    client.force_login(User.objects.filter(username=who).first() or user_make(who, name=who))
    return client


def dismissed(order: Order, reason: str = "The oven sheet of the day is empty", who: str = "owner") -> HttpResponse:
    address = reverse("order-cooling-dismiss", args=[order.pk])
    return browser_of(who).post(address, {"item": str(tart()), "reason": reason})


def test_the_owner_dismisses_a_mark_where_nothing_was_made_by_those_steps() -> None:
    order = ordered()
    broken_and_mended(order, seen_at=START)
    page = browser_of("owner").get(reverse("order-cooling", args=[order.pk])).content.decode()
    assert f"{reverse('order-cooling-dismiss', args=[order.pk])}?item={tart()}" in page
    assert "Dismiss" not in browser_of("kitchen").get(reverse("order-cooling", args=[order.pk])).content.decode()
    assert dismissed(order, who="kitchen").status_code == 403
    assert dismissed(order, reason=" ").status_code == 422
    assert mark_of(order) is not None
    assert dismissed(order).status_code == 302
    assert mark_of(order) is None
    page = browser_of("owner").get(reverse("order", args=[order.pk])).content.decode()
    assert "Cooling mark dismissed" in page
    assert "“The oven sheet of the day is empty”" in page


def test_what_breaks_once_more_is_marked_anew() -> None:
    order = ordered()
    broken_and_mended(order, seen_at=START)
    dismissed(order)
    broken_and_mended(order, seen_at=AFTER)
    mark = mark_of(order)
    assert mark is not None
    assert mark.breached_at == AFTER


def test_what_stands_broken_or_was_measured_is_not_dismissed(monkeypatch: pytest.MonkeyPatch) -> None:
    order = ordered()
    broken_and_mended(order, seen_at=START)
    tart_deep("6")
    assert dismissed(order).status_code == 422
    with refused(BreachStands, match="stands until a record"):
        breach_dismiss(order_id=order.pk, item=tart(), reason="Nothing was made", by=BY, at=AFTER)
    tart_deep("1.2")
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    data = RecordData(tart(), [read(2, 68), read(6, 60)], "not_met", started_at=START, action="discarded", part=0)
    cooling_record_add(order_id=order.pk, data=data, by=BY, at=AFTER)
    with refused(BreachStands, match="stands until a record"):
        breach_dismiss(order_id=order.pk, item=tart(), reason="Nothing was made", by=BY, at=AFTER)


def test_several_marks_are_a_line_each_on_the_order(monkeypatch: pytest.MonkeyPatch) -> None:
    order = ordered()
    broken_and_mended(order, seen_at=START)
    address = reverse("order", args=[order.pk])
    assert "note stop folded" not in browser_of("owner").get(address).content.decode()
    marks = cooling_marks([order])[order.pk]
    second = replace(marks[tart()], item=Item("recipe", 1), name="Baked custard")
    monkeypatch.setattr("orders.orders.views.cooling_marks", lambda orders: {order.pk: {**marks, second.item: second}})
    page = " ".join(browser_of("owner").get(address).content.decode().split())
    folded = page.partition("note stop folded")[2].partition("</div>")[0]
    assert folded.count("<details>") == 2
    assert "<summary><strong>Cooling, Baked custard.</strong> <span>Not cold in time, or not stated, by the" in folded
    assert folded.count("Record a measurement") == 2


def test_the_sheets_show_it_until_it_is_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    order = ordered()
    broken_and_mended(order, seen_at=START)
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    client, day = signed_in("kitchen"), order.window_start.date().isoformat()
    addresses = [reverse(name) for name in ("day", "sheet-prep", "sheet-cold", "sheet-handover")]
    for address in (*addresses, reverse("order", args=[order.pk])):
        assert 'class="cooling-mark stop"' in client.get(address, {"first": day, "last": day}).content.decode(), address
    data = RecordData(tart(), [read(2, 68), read(6, 41)], "met", started_at=START, part=0)
    cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)
    for address in (*addresses, reverse("order", args=[order.pk])):
        shown = client.get(address, {"first": day, "last": day}).content.decode()
        assert 'class="cooling-mark stop"' not in shown, address


def test_a_batch_of_which_nobody_said_how_it_cools_stays_marked_with_its_name() -> None:
    custard = batch_kitchen_make(
        profile={"diameter_cm": "12", "height_cm": "1.2"},
        vessel=None,
        depth_cm=Decimal(1),
        ice_bath=True,
    )
    boil = custard.steps.get(kind="cook")
    pan = Vessel.objects.get(name="Hotel pan")
    custard.steps.filter(pk=boil.pk).update(vessel=pan)
    catalog_changed()
    order = ordered()
    assert cooling_marks([order]) == {}
    custard.steps.filter(pk=boil.pk).update(vessel=None, leaves_c=None)
    catalog_changed()
    breaches_note(at=START)
    custard.steps.filter(pk=boil.pk).update(vessel=pan, leaves_c=80)
    catalog_changed()
    mark = cooling_marks([order])[order.pk][Item("recipe", custard.pk)]
    assert (mark.name, mark.state, mark.earlier) == (Recipe.objects.get(pk=custard.pk).name, "owed", True)


def test_a_source_entered_later_answers_for_what_was_made_before_and_a_cleared_tick_does_not() -> None:
    ordered()
    Product.objects.update(holding="")
    Product.objects.get(code="custard-tart").steps.update(leaves_c=None)
    custard = Recipe.objects.filter(code__in=["custard", "paste"])
    custard.update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
    catalog_changed()
    order = Order.objects.prefetch_related("lines__product").latest("pk")
    assert mark_of(order) is None
    custard.update(shelf_stable_source="")
    catalog_changed()
    assert breaches_note(at=START) == 1
    assert mark_of(order) is not None
    custard.update(shelf_stable=False)
    Product.objects.update(holding="Keep refrigerated until served.")
    catalog_changed()
    mark = mark_of(order)
    assert mark is not None
    custard.update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
    catalog_changed()
    assert mark_of(order) is None


def test_what_the_owner_recorded_needs_no_note() -> None:
    deep_order()
    assert breaches_note(at=START) == 0


def test_a_look_at_what_did_not_change_is_two_queries() -> None:
    ordered()
    breaches_note(at=START)
    with CaptureQueriesContext(connection) as queries:
        breaches_note(at=AFTER)
    assert len(queries) <= 2


def test_the_clock_looks_every_few_seconds() -> None:
    assert settings.PERIODIC_WORK["orders.cooling_log.breach_services.breaches_note"] <= 10
