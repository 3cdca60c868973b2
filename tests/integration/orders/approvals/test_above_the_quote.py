"""What a customer reads above a quote: their own message while it waits, and what a new revision changed."""

from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from orders.approvals.messages import approval_held
from orders.approvals.services import quote_reply
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from tests.factories import BY, kitchen_make, sent_make
from tests.integration.orders.private_link import entered
from tests.sending import own_read, quote_send_seen

pytestmark = pytest.mark.django_db
Enter = Callable[[Quote], Client]


@pytest.fixture
def enter(client: Client) -> Enter:
    """Return a function that logs in with a new link."""
    kitchen_make()
    return partial(entered, client)


def text(answer: Any) -> str:
    return str(answer.content.decode())


def test_a_message_stands_above_the_quote_until_the_kitchen_replies(enter: Enter) -> None:
    quote = sent_make()
    client = enter(quote)
    client.post(reverse("quote-page-change", args=[quote.pk]), {"text": "Ten more guests, please."})
    page = text(client.get(reverse("quote-page", args=[quote.pk])))
    above = page[: page.index("<h1>")]
    assert "Your message of " in above
    assert "“Ten more guests, please.” We will answer." in above
    quote_reply(quote_id=quote.pk, text="Gladly.", read=own_read(quote, "Gladly."), by=BY, at=timezone.now())
    assert "Your message of " not in text(client.get(reverse("quote-page", args=[quote.pk])))


def test_what_the_service_wrote_of_a_held_approval_is_not_shown_as_theirs(enter: Enter) -> None:
    quote = sent_make()
    approval_held(quote_id=quote.pk, name="Ida", words="Ida wanted to approve", reasons=(), at=timezone.now())
    assert "Your message of " not in text(enter(quote).get(reverse("quote-page", args=[quote.pk])))


def test_a_new_revision_says_what_changed(enter: Enter) -> None:
    old = sent_make()
    client = enter(old)
    new = quote_revise(quote_id=old.pk, by=BY, at=timezone.now())
    line = new.lines.get(product__code="custard-tart")
    was, line.units = line.units, line.units + 12
    line.save()
    quote_send_seen(quote_id=new.pk, by=BY, at=timezone.now())
    page = text(client.get(reverse("quote-page", args=[new.pk])))
    assert "Changed since revision 1:" in page
    assert f"Custard tart, 10 cm: {was + 12} instead of {was}." in page
    assert "The total is $" in page
    assert "Changed since revision" not in text(client.get(reverse("quote-page", args=[old.pk])))
