"""The customer asks for other counts on her page; the kitchen begins the change with them."""

import re

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from orders.approvals.links import link_create
from orders.approvals.models import Message
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.files import PDF_TEMPLATE, pdf_context
from orders.quotes.models import Quote
from tests.factories import NOW, user_make
from tests.integration.orders.amending import agree, amend_send
from tests.integration.orders.builders import YES, order_make

pytestmark = pytest.mark.django_db


def customers_page(client: Client, quote: Quote) -> None:
    """Open the customer's page with a private link."""
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=NOW)]))


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: YES)


def test_counts_asked_for_become_the_draft_of_a_change(client: Client) -> None:
    order = order_make()
    line = content_read(order.quote.content).lines[0]
    customers_page(client, order.quote)
    address = reverse("quote-page-change", args=[order.quote_id])
    page = client.get(address).content.decode()
    assert f"Change order {order.number}" in page
    assert f'value="{line.units}"' in page
    answer = client.post(address, {"units_0": str(line.units + 12), "guests": "90", "text": "Two more tables."})
    assert answer.status_code == 302
    message = Message.objects.get()
    assert message.wants == {"units": {line.product: line.units + 12}, "guests": 90}
    assert f"{line.name}: {line.units + 12} instead of {line.units}." in message.text
    assert message.text.endswith("Two more tables.")

    client.force_login(user_make())
    page = client.get(reverse("order", args=[order.pk])).content.decode()
    assert "Start this change" in page
    client.post(reverse("order-change", args=[order.pk]), {"message": message.pk})
    draft = Quote.objects.get(amends=order)
    assert draft.lines.get(product__code=line.product).units == line.units + 12
    draft.inquiry.refresh_from_db()
    assert draft.inquiry.guests == 90
    order = Order.objects.get(pk=order.pk)
    assert order.event.guests == content_read(order.quote.content).event.guests
    message.refresh_from_db()
    assert message.seen_at is None, "its own words wait for what somebody states of them"


def test_a_count_in_which_it_is_not_sold_is_refused_with_what_fits(client: Client) -> None:
    order = order_make()
    line = content_read(order.quote.content).lines[0]
    customers_page(client, order.quote)
    page = client.post(
        reverse("quote-page-change", args=[order.quote_id]), {"units_0": str(line.units + 1), "text": "More."}
    ).content.decode()
    assert f"comes in multiples of 6: enter {line.units} or {line.units + 6}." in page
    assert f'value="{line.units + 1}"' in page  # what was entered stays
    assert not Message.objects.exists()


def test_nothing_changed_asks_for_something(client: Client) -> None:
    order = order_make()
    line = content_read(order.quote.content).lines[0]
    customers_page(client, order.quote)
    page = client.post(reverse("quote-page-change", args=[order.quote_id]), {"units_0": str(line.units)})
    assert "Nothing is changed yet." in page.content.decode()


def test_the_customer_sees_both_side_by_side_and_what_was_replaced_leads_to_what_is_in_force(client: Client) -> None:
    order = order_make()
    first, line = order.quote, content_read(order.quote.content).lines[0]
    customers_page(client, first)
    sent = amend_send(order, {line.product: line.units + 12}, at=YES)
    page = client.get(reverse("quote-page", args=[sent.pk])).content.decode()
    text = " ".join(re.sub(r"<[^>]*>", " ", page).split())
    assert f"What changes in order {order.number}" in text
    assert re.search(rf"{line.units} at \S+ \S+ {line.units + 12} at \S+ \S+ \+\$", text)
    assert "A change waits for your answer." in client.get(reverse("quote-page", args=[first.pk])).content.decode()
    agree(sent, at=YES)
    page = client.get(reverse("quote-page", args=[first.pk])).content.decode()
    assert "No longer in force." in page
    assert reverse("quote-page", args=[sent.pk]) in page
    page = client.get(reverse("quote-page", args=[sent.pk])).content.decode()
    assert f'Your order is <strong class="ref">{order.number}' in page
    assert f"What changed in order {order.number}" in page
    assert "The total changed by" in page


def test_the_paper_of_a_change_begins_with_what_changes() -> None:
    order = order_make()
    line = content_read(order.quote.content).lines[0]
    paper = render_to_string(PDF_TEMPLATE, pdf_context(amend_send(order, {line.product: line.units + 12})))
    assert "Here is your order with the change." in paper
    assert paper.index(f"What changes in order {order.number}") < paper.index("Your desserts")
