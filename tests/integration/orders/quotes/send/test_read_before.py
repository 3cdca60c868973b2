"""What was read for a revision is asked again in the next one only where products or needs changed since."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.quotes.send.services import quote_revise
from orders.records.states import QuoteStatus
from tests.factories import BY, draft_make
from tests.integration.catalog.kitchen_pages import text
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
NOTE = "Two guests carry injectors"


@pytest.fixture
def revised(small_kitchen: object) -> Quote:
    """Return the draft of a second revision; the allergy note was read for the first."""
    quote = draft_make(allergies=["peanuts"], allergy_note=NOTE)
    quote_send_seen(quote_id=quote.pk, by=BY, at=timezone.now())
    return quote_revise(quote_id=quote.pk, by=BY, at=timezone.now())


def asked(quote: Quote) -> list[str]:
    return [one.text for one in send_check(quotes_with_rows().get(pk=quote.pk), at=timezone.now()).to_read]


def test_what_did_not_change_is_not_asked_again_and_the_page_says_so(revised: Quote, owner: Client) -> None:
    """Seen: the same tick again, minutes later."""
    assert NOTE not in asked(revised)
    words = text(owner.get(reverse("quote-send", args=[revised.pk])))
    assert f"Products and needs are the same, so it is not asked again: “{NOTE}”" in words
    assert quote_send_seen(quote_id=revised.pk, by=BY, at=timezone.now(), read=[]).status == QuoteStatus.SENT


def test_it_is_asked_again_once_a_need_changed(revised: Quote) -> None:
    Inquiry.objects.filter(pk=revised.inquiry_id).update(allergies=["milk", "peanuts"])
    assert NOTE in asked(revised)


def test_it_is_asked_again_once_the_table_changed(revised: Quote) -> None:
    line = revised.lines.get(product__code="walnut-cake")
    line.units += 1
    line.save()
    assert NOTE in asked(revised)


def test_the_review_names_an_allergy_in_the_quote_and_at_its_tick_alone(owner: Client, small_kitchen: object) -> None:
    quote = draft_make(allergies=["peanuts"])
    page = owner.get(reverse("quote-send", args=[quote.pk])).content.decode()
    assert 'id="allergy-answer"' not in page
    assert "Allergies in detail" not in page
