"""What saving a draft's table says, and warnings about its pieces and shares."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from orders.quotes.models import Quote
from tests.integration.orders.quotes.draft.test_draft_page import post

pytestmark = pytest.mark.django_db


def test_a_removed_row_is_named_when_it_was_saved(owner: Client, quote: Quote) -> None:
    post(owner, quote, **{"lines-3-DELETE": "on"})
    page = owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    assert "Removed: Walnut sponge cake, two tiers; Cake stands." in page


def test_missing_pieces_and_shares_that_are_no_whole_are_warnings(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, do="estimate", guests="100").content.decode()
    warned = page[page.index('id="warnings"') :]
    assert "40 pieces short of the 250 planned." in warned
    assert "Shares add up to" not in warned
    shares = {"lines-0-share": "30", "lines-1-share": "30", "lines-2-share": ""}
    only = {**shares, "lines-2-DELETE": "on"}
    assert "Shares add up to 60%: split as 50% and 50%." in post(owner, quote, do="estimate", **only).content.decode()


def test_a_portion_without_a_share_counts_as_pieces_and_shares_split_the_others(owner: Client, quote: Quote) -> None:
    by_hand = {"guests": "120", "lines-0-share": "", "lines-0-units": "132"}
    page = post(owner, quote, do="estimate", **by_hand).content.decode()
    assert "264 pieces for 300 planned" in page
    assert "36 pieces short of the 300 planned." in page
    assert "132 × " not in page
    assert "Shares add up to" not in page
    assert "132 pieces are entered by hand; “Split by percentage” splits the other 168." in page
    split = post(owner, quote, do="split", **by_hand).content.decode()
    units = [int(re.findall(rf'name="lines-{row}-units" value="(\d+)"', split)[0]) for row in range(3)]
    assert units[0] == 132
    assert 300 <= sum(units) < 310


def test_a_row_removed_before_it_was_ever_saved_is_named_and_comes_back(owner: Client, quote: Quote) -> None:
    removed = quote.lines.get(product__code="rice-glass")
    post(owner, quote, **{"lines-1-DELETE": "on"})
    page = reverse("inquiry", args=[quote.inquiry_id])
    owner.get(page)
    quote = Quote.objects.get(pk=quote.pk)
    row = {"lines-4-product": str(removed.product_id), "lines-4-units": "84", "lines-4-DELETE": "on"}
    post(owner, quote, **{"lines-TOTAL_FORMS": "5", **row})
    shown = owner.get(page).content.decode()
    assert f"Removed: {removed.product.name}." in shown
    (undo,) = re.findall(r'action="([^"]*/removed/[^"]*)"', shown)
    owner.post(undo)
    assert quote.lines.get(product__code="rice-glass").units == 84


def test_what_is_removed_on_the_way_to_the_review_is_named_there(owner: Client, quote: Quote) -> None:
    post(owner, quote, do="next", **{"lines-3-DELETE": "on"})
    page = owner.get(reverse("quote-send", args=[quote.pk])).content.decode()
    assert "Removed: Walnut sponge cake, two tiers; Cake stands." in page
