"""What customers wrote on the day's page: what may name a need and what is being made first, the rest a link away."""

import pytest
from django.urls import reverse

from orders.approvals.models import Message
from orders.orders.models import Order
from orders.production.day import SHOWN, the_day
from orders.records.states import OrderStatus
from tests.factories import NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
NUTS = "Anna cannot eat peanuts."


@pytest.fixture(autouse=True)
def kitchen() -> None:
    kitchen_make()


def wrote_much() -> Order:
    other, order = sent_make(), order_make()
    Order.objects.filter(pk=order.pk).update(status=OrderStatus.IN_PRODUCTION)
    for number in range(SHOWN + 2):
        Message.objects.create(quote=other, kind="change", text=f"See you, number {number}.", by="Ida", at=NOW)
    Message.objects.create(quote=order.quote, kind="change", text="The blue plates, then.", by="Ida", at=NOW)
    Message.objects.create(quote=order.quote, kind="change", text=NUTS, by="Ida", at=NOW)
    return order


def test_what_may_name_a_need_and_what_is_being_made_come_first() -> None:
    wrote_much()
    day = the_day(at=NOW, owner=True)
    assert [one.text for one in day.messages[:2]] == [NUTS, "The blue plates, then."]
    assert (len(day.messages), day.messages_count) == (SHOWN, SHOWN + 4)


def test_a_link_leads_to_all() -> None:
    wrote_much()
    owner, address = signed_in(), reverse("messages-unread")
    assert f'href="{address}"' in owner.get(reverse("day")).content.decode()
    page = text(owner.get(address))
    assert all(f"See you, number {number}." in page for number in range(SHOWN + 2))
    assert page.index(NUTS) < page.index("See you, number 0.")
    assert "Every message was read." not in page


def test_the_list_of_orders_marks_what_was_written() -> None:
    owner, order = signed_in(), order_make()
    assert "New message, not answered yet." not in text(owner.get(reverse("orders")))
    Message.objects.create(quote=order.quote, kind="change", text="The blue plates, then.", by="Ida", at=NOW)
    assert "New message, not answered yet." in text(owner.get(reverse("orders")))
