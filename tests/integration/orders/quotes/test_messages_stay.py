"""Odd messages about allergies stay on every page until a person states something of them, and come before others."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.urls import reverse

from orders.approvals.models import Message
from orders.orders.models import Order
from orders.records.need_errors import MessagesUnread, OrderUnsettled
from tests.answering import message_answered
from tests.factories import NOW, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.starting import order_start

pytestmark = pytest.mark.django_db
ODD = (
    "now 3 coeliacs not 2",
    "Her throat closes with the green ones",
    "Ma belle-mère ne supporte pas le lait",
    "Der Trauzeuge verträgt keine Nüsse",
    "La zia non tollera le uova",
    "Mi abuela no come cacahuetes",
    "Oma mag geen noten",
    "And her sister too",
    "Make that three of them, not two",
    "Rosa reacts as Ada did",
)


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make()
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def order() -> Order:
    return order_make(allergies=("gluten",), need_counts={"gluten": 2})


@pytest.mark.parametrize("words", ODD)
def test_it_stays_until_a_person_states_something(order: Order, words: str) -> None:
    message = Message.objects.create(quote=order.quote, kind="change", text=words, by="Ida", at=NOW)
    owner = signed_in()
    pages = [reverse("day"), reverse("order", args=[order.pk]), reverse("messages-unread")]
    for address in pages * 2:
        assert words in text(owner.get(address))
    with pytest.raises((OrderUnsettled, MessagesUnread)):
        order_start(order_id=order.pk, despite="", by="odile", at=NOW)
    message_answered(message, no_guest=True)
    for address in (reverse("day"), reverse("messages-unread")):
        assert words not in text(owner.get(address))


@pytest.mark.parametrize("words", ODD)
def test_it_comes_before_what_is_of_a_nearer_event(order: Order, words: str) -> None:
    Message.objects.create(quote=order.quote, kind="change", text="The blue plates, then.", by="Ida", at=NOW)
    Message.objects.create(quote=order.quote, kind="change", text=words, by="Ida", at=NOW)
    page = text(signed_in().get(reverse("messages-unread")))
    assert page.index(words) < page.index("The blue plates, then.")
