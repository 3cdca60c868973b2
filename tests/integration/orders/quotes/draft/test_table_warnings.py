"""What saving a draft's table says, and warnings about its pieces and shares."""

import pytest
from django.test import Client
from django.urls import reverse

from orders.quotes.models import Quote
from tests.integration.orders.quotes.draft.test_draft_page import post

pytestmark = pytest.mark.django_db


def test_a_removed_row_is_named_when_it_was_saved(owner: Client, quote: Quote) -> None:
    post(owner, quote, **{"lines-3-DELETE": "on"})
    page = owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    assert "Saved. Removed: Walnut sponge cake, two tiers; Cake stands." in page


def test_missing_pieces_and_shares_that_are_no_whole_are_warnings(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, do="estimate", guests="100").content.decode()
    warned = page[page.index('id="warnings"') :]
    assert "40 pieces short of the 250 planned." in warned
    assert "Shares add up to" not in warned
    shares = {"lines-0-share": "30", "lines-1-share": "30", "lines-2-share": ""}
    assert "Shares add up to 60%: split as 50% and 50%." in post(owner, quote, do="estimate", **shares).content.decode()
