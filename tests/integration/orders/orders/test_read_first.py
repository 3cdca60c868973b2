"""A kitchen note that names a need, and unread messages, are read by name before an order is made or handed over."""

import pytest
from django.urls import reverse

from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.orders.services import order_deliver, order_note
from orders.records.models import AuditEntry
from orders.records.need_errors import KitchenNoteUnread, MessagesUnread
from tests.factories import BY, EVENT
from tests.integration.catalog.kitchen_pages import text
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.orders.builders import order_make
from tests.integration.orders.orders.test_messages_unread import wrote
from tests.refusals import refused
from tests.starting import on_its_first_day, order_start

pytestmark = pytest.mark.django_db
NOTE = "Best man phoned: his son is allergic to soya."


def test_a_kitchen_note_that_names_a_need_is_asked_about_until_it_is_recorded(client, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    order = order_make(allergies=())
    seen = on_its_first_day(order, monkeypatch)
    owner = signed_in(client, "owner")
    order_note(order_id=order.pk, note=NOTE, by=BY, at=EVENT)
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert "The kitchen note names soybeans for 1 guest, which is not among the needs." in page
    address = reverse("inquiry-edit", args=[order.quote.inquiry_id])
    assert f"{address}?needs=note#id_allergies" in owner.get(reverse("order", args=[order.pk])).content.decode()
    edit = owner.get(reverse("inquiry-edit", args=[order.quote.inquiry_id]), {"needs": "note"})
    assert edit.context["form"].initial["allergies"] == ["soybeans"]
    assert NOTE in text(edit)
    answer = owner.post(reverse("order-start", args=[order.pk]))
    assert (answer.status_code, Order.objects.get().status) == (422, "confirmed")
    assert "Add the need, or check the box that you have read it." in text(answer)
    mark = answer.context["read_first"].note_mark
    owner.post(reverse("order-start", args=[order.pk]), seen | {"note_read": mark})
    assert Order.objects.get().status == "in_production"
    assert AuditEntry.objects.get(document="order", event="start").params["note_read"] == mark
    order_deliver(order_id=order.pk, by=BY, at=EVENT)


def test_it_is_not_asked_once_the_need_is_recorded() -> None:
    order = order_make(allergies=())
    order_note(order_id=order.pk, note=NOTE, by=BY, at=EVENT)
    with refused(KitchenNoteUnread, match="allergic to soya"):
        order_start(order_id=order.pk, by=BY, at=EVENT)
    Inquiry.objects.update(allergies=["soybeans"])
    assert order_start(order_id=order.pk, despite=None, by=BY, at=EVENT).status == "in_production"


@pytest.mark.parametrize("sheet", ["sheet-prep", "sheet-recipes", "sheet-cold", "sheet-handover"])
def test_the_kitchen_note_stands_on_the_sheets(client, sheet: str) -> None:  # type: ignore[no-untyped-def]
    order_note(order_id=order_make(allergies=()).pk, note=NOTE, by=BY, at=EVENT)
    page = text(signed_in(client, "kitchen").get(f"{reverse(sheet)}?first={EVENT.date()}&last={EVENT.date()}"))
    assert NOTE in page


def test_a_hand_over_without_a_start_asks_the_same(client) -> None:  # type: ignore[no-untyped-def]
    order, owner = order_make(allergies=()), signed_in(client, "owner")
    message = wrote(order, "We moved the table to the barn.")
    order_note(order_id=order.pk, note=NOTE, by=BY, at=EVENT)
    with refused(MessagesUnread, match="We moved"):
        order_deliver(order_id=order.pk, by=BY, at=EVENT)
    with refused(KitchenNoteUnread, match="soya"):
        order_deliver(order_id=order.pk, read=[message.pk], by=BY, at=EVENT)
    answer = owner.post(reverse("order-deliver", args=[order.pk]), {"read": [message.pk]})
    assert (answer.status_code, Order.objects.get().status) == (422, "confirmed")
    ticked = {"read": [message.pk], "note_read": answer.context["read_first"].note_mark}
    owner.post(reverse("order-deliver", args=[order.pk]), ticked)
    assert Order.objects.get().status == "delivered"
    assert Message.objects.filter(seen_at=None).exists(), "the owner has not stated what it says"


def test_the_cold_room_list_names_the_guests_needs_and_what_changed(client) -> None:  # type: ignore[no-untyped-def]
    order = order_make(allergies=("soybeans",))
    Inquiry.objects.filter(pk=order.quote.inquiry_id).update(allergies=["soybeans", "milk"])
    page = text(signed_in(client, "kitchen").get(f"{reverse('sheet-cold')}?first={EVENT.date()}&last={EVENT.date()}"))
    assert "Allergies and diets among the guests" in page
    assert "Changed since the quote was sent." in page
