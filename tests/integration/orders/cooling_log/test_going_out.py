"""What goes out although its cooling is open, was not in time, or it was discarded: only with a tick and real words."""

from decimal import Decimal

import pytest
from django.urls import reverse

from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.selectors import CoolingMark
from orders.orders.going_out import _says_why
from orders.orders.services import order_deliver
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import (
    CoolingOpen,
    DiscardedGoesOut,
    NamesNothingServed,
    NotNamed,
    RuleWasNotMet,
    SaysNothing,
    TooWarmToGo,
    WaitsForOwner,
)
from orders.records.models import AuditEntry
from tests.integration.orders.cooling_log.measuring import AFTER, deep_order, read, record, tart
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def test_what_was_not_kept_goes_out_only_with_a_word_on_what_does() -> None:
    order = deep_order()
    record(order, read(2, 90), outcome="not_met", action="reheated")
    with refused(RuleWasNotMet, "Custard tart, 10 cm: the cooling rule was recorded as not met"):
        order_deliver(order_id=order.pk, owner=True, by="odile", at=AFTER)
    client = signed_in("owner")
    page = client.post(reverse("order-deliver", args=[order.pk]), {"note": ""})
    assert page.status_code == 422
    assert "enter in the note what is served instead" in page.content.decode()
    client.post(reverse("order-deliver", args=[order.pk]), {"note": "Squares instead of the tarts"})
    order.refresh_from_db()
    assert order.delivered_at is not None


@pytest.mark.parametrize("reheated", [True, False])
def test_the_kitchen_does_not_hand_over_what_is_still_to_be_measured_whatever_the_note_says(*, reheated: bool) -> None:
    order = deep_order()
    if reheated:
        record(order, read(2, 90), outcome="not_met", action="reheated")
    with refused(WaitsForOwner, "Without one only the owner can hand it over, with the reason"):
        order_deliver(order_id=order.pk, note="all of it is good", by="tomas", at=AFTER)
    client = signed_in("kitchen")
    assert (
        "first. Without one only the owner can hand it over"
        in client.get(reverse("order", args=[order.pk])).content.decode()
    )
    page = client.post(reverse("order-deliver", args=[order.pk]), {"note": "all of it is good"})
    assert page.status_code == 422
    order.refresh_from_db()
    assert order.delivered_at is None


def test_both_answers_about_what_was_discarded_are_asked_for_at_once() -> None:
    order = deep_order()
    record(order, read(2, 90), outcome="not_met", action="discarded", note="Thrown away")
    page = signed_in("kitchen").post(reverse("order-deliver", args=[order.pk]), {"note": ""}).content.decode()
    assert "Check the box that it does not go out and enter in the note what is served instead" in page


def test_what_was_discarded_goes_out_only_where_it_is_ticked_that_it_does_not() -> None:
    order = deep_order()
    record(order, read(2, 90), outcome="not_met", action="discarded", note="Thrown away")
    with refused(DiscardedGoesOut, "Custard tart, 10 cm: recorded as discarded. Check the box that it does not go out"):
        order_deliver(order_id=order.pk, note="Squares instead of the tarts", by="tomas", at=AFTER)
    client, address = signed_in("kitchen"), reverse("order-deliver", args=[order.pk])
    page = client.get(reverse("order", args=[order.pk])).content.decode()
    assert "Custard tart, 10 cm does not go out" in page
    assert "What was discarded does not go out. Check the box for it, and name in the note what is served" in page
    owner = signed_in("owner")
    for whoever in (client, owner):
        page = whoever.get(reverse("order", args=[order.pk])).content.decode()
        assert "enter below why it goes out" not in page
        assert "Cooling is still open." not in page
    page = client.post(address, {"note": "Squares instead of the tarts"})
    assert page.status_code == 422
    assert "recorded as discarded" in page.content.decode()
    page = client.post(address, {"note": ".", "left_out": str(tart())})
    assert page.status_code == 422
    assert "Note about the delivery or pickup: “.” does not say enough" in page.content.decode()
    client.post(address, {"note": "Squares instead of the tarts", "left_out": str(tart())})
    order.refresh_from_db()
    assert order.delivered_at is not None
    assert AuditEntry.objects.get(document_pk=order.pk, event="deliver").params == {"left_out": ["Custard tart, 10 cm"]}
    page = owner.get(reverse("order", args=[order.pk])).content.decode()
    assert "Discarded, did not go out: Custard tart, 10 cm. “Squares instead of the tarts”" in page


@pytest.mark.parametrize("note", [".", "n/a", "-", "none", "no no", "Nobody"])
def test_a_note_that_says_nothing_lifts_no_mark(note: str) -> None:
    order = deep_order()
    with refused(SaysNothing, "does not say enough. Write at least two words"):
        order_deliver(order_id=order.pk, note=note, owner=True, by="odile", at=AFTER)
    assert AuditEntry.objects.filter(document_pk=order.pk, event="deliver").count() == 0


@pytest.mark.parametrize("note", ["Customer agrees, all fine", "Measured last year at 2 h, was good", "Core at 39 °F"])
def test_what_nothing_shows_to_be_cold_goes_out_only_with_its_core_temperature(note: str) -> None:
    """The words of a note were judged: what was measured another day went out by them."""
    order = deep_order()
    with refused(CoolingOpen, "enter its core temperature at the hand-over"):
        order_deliver(order_id=order.pk, note=note, owner=True, by="odile", at=AFTER)
    with refused(TooWarmToGo, "at 44.* it is warmer than 41.*, so it does not go out"):
        order_deliver(order_id=order.pk, note=note, core=Decimal(7), owner=True, by="odile", at=AFTER)
    assert order_deliver(order_id=order.pk, note=note, core=Decimal(4), owner=True, by="odile", at=AFTER)


@pytest.mark.parametrize("note", ["ok go", "It is all fine", "she knows"])
def test_what_is_served_instead_of_what_was_discarded_is_named(note: str) -> None:
    order = deep_order()
    record(order, read(2, 90), outcome="not_met", action="discarded")
    with refused(NamesNothingServed, "does not say what is served instead"):
        order_deliver(order_id=order.pk, note=note, left_out=[tart()], owner=True, by="odile", at=AFTER)


def test_one_note_for_matters_that_differ_names_each() -> None:
    thrown = CoolingMark(1, Item("product", 1), "Custard tart, 10 cm", record=CoolingRecord(outcome="not_met"))
    open_ = CoolingMark(1, Item("recipe", 1), "Lemon curd")
    with refused(NotNamed, "Lemon curd: the note does not name it"):
        _says_why([thrown, open_], "Squares instead of the tarts")
    _says_why([thrown, open_], "Squares instead of the tarts; curd read by the door")


def test_what_is_measured_as_kept_after_that_goes_out() -> None:
    order = deep_order()
    record(order, read(2, 90), outcome="not_met", action="discarded", note="Thrown away")
    record(order, read(4, 68), read(6.5, 41), started_at=read(3, 0).at)
    assert order_deliver(order_id=order.pk, by="tomas", at=AFTER).delivered_at == AFTER


def test_what_nothing_shows_to_be_cold_goes_out_only_with_a_reason_that_is_recorded() -> None:
    order = deep_order()
    with refused(CoolingOpen, "Custard tart, 10 cm: nothing shows yet that it was cold in time"):
        order_deliver(order_id=order.pk, owner=True, by="odile", at=AFTER)
    record(order, read(1.5, 90), outcome="cooling")
    client, address = signed_in("owner"), reverse("order-deliver", args=[order.pk])
    page = client.post(address, {"note": " "})
    assert page.status_code == 422
    assert "or enter its core temperature at the hand-over, and in the note why" in page.content.decode()
    order.refresh_from_db()
    assert order.delivered_at is None
    page_before = client.get(reverse("order", args=[order.pk])).content.decode()
    assert "Cooling is still open." in page_before
    client.post(address, {"note": "Read by the door", "core": "39"})
    order.refresh_from_db()
    assert order.delivered_at is not None
    page_after = client.get(reverse("order", args=[order.pk])).content.decode()
    assert "Exception by the owner: handed over although nothing showed that it was cold in time: Custard" in page_after
    assert "Core temperature at the hand-over: 39 °F. Read by the door" in page_after
    assert AuditEntry.objects.get(document_pk=order.pk, event="deliver").note == "Read by the door"
