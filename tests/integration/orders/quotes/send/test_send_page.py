"""The page that shows a quote before sending: the quote page, and the refusals."""

from datetime import timedelta
from decimal import Decimal
from typing import Any
from unittest.mock import patch

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.taxes.models import TaxCategory
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.inquiries.models import Inquiry
from orders.quotes.draft.estimate import DraftEstimate, estimate_draft
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.quotes.send.services import quote_revise
from tests import factories
from tests.factories import BY, NOW
from tests.integration.forms_on_pages import forms_of, save_edit
from tests.integration.orders.amending import BEGUN, amend_begin
from tests.integration.orders.builders import order_make
from tests.integration.orders.quotes.send.ticks import ticks

pytestmark = pytest.mark.django_db


def page_of(owner: Client, name: str, quote: Quote) -> str:
    answer = owner.get(reverse(name, args=[quote.pk]))
    assert answer.status_code == 200
    return str(answer.content.decode())


def _sending(page: Any) -> dict[str, str]:
    """Return what the button of a page that checks a quote sends."""
    fields = next(form.fields for form in forms_of(page) if "seen" in form.fields)
    return {name: values[0] for name, values in fields.items() if values} | ticks(Quote.objects.get())


def test_the_check_shows_the_quote_page_and_sending_it_twice_sends_once(owner: Client, quote: Quote) -> None:
    page = page_of(owner, "quote-send", quote)
    assert "Send quote" in page
    total = send_check(quotes_with_rows().get(pk=quote.pk), at=NOW).content
    assert total is not None
    for _ in range(2):
        sent_form = {"total_minor": str(total.total_minor), **ticks(quote)}
        answer = owner.post(reverse("quote-send", args=[quote.pk]), sent_form, follow=True)
        assert answer.status_code == 200
    assert ">sent<" in answer.content.decode()
    assert Quote.objects.get(pk=quote.pk).total_minor == total.total_minor


def test_a_total_that_moved_is_not_sent_unseen(owner: Client, quote: Quote) -> None:
    page = owner.post(reverse("quote-send", args=[quote.pk]), {"total_minor": "100", **ticks(quote)}).content.decode()
    assert "Not sent. The total is" in page
    assert Quote.objects.get(pk=quote.pk).status == "draft"


def test_terms_that_changed_in_another_window_are_not_sent_unseen(owner: Client, quote: Quote) -> None:
    address = reverse("quote-send", args=[quote.pk])
    looked_at = _sending(owner.get(address))
    Quote.objects.filter(pk=quote.pk).update(note="Bring it to the back door.")
    page = owner.post(address, looked_at | ticks(quote))
    assert "this changed: deposit, payment or cancellation terms, or the note." in page.content.decode()
    assert "Bring it to the back door." in page.content.decode()
    assert Quote.objects.get(pk=quote.pk).status == "draft"
    assert owner.post(address, _sending(page)).status_code == 302
    assert Quote.objects.get(pk=quote.pk).status == "sent"


def test_below_the_floor_it_is_sent_only_with_the_reason_on_record(owner: Client, quote: Quote) -> None:
    draft_save(quote_id=quote.pk, table=factories.table_make(discount=Decimal("0.4")), by=BY, at=NOW)
    page = page_of(owner, "quote-send", quote)
    assert "no reason is recorded" in page
    assert "Send quote" not in page
    refused = owner.post(reverse("quote-send", args=[quote.pk]), ticks(quote)).content.decode()
    assert "below the floor of 45.0" in refused
    page = reverse("quote-send", args=[quote.pk])
    reason = {"reason": "Our first wedding at the Ropewalk"}
    save_edit(owner, reverse("quote-override", args=[quote.pk]), reason, page=page)
    assert "Our first wedding at the Ropewalk" in page_of(owner, "quote-send", quote)
    owner.post(reverse("quote-send", args=[quote.pk]), ticks(quote))
    assert Quote.objects.get(pk=quote.pk).status == "sent"


def test_that_customers_cannot_open_links_yet_stands_before_the_button(
    owner: Client, quote: Quote, settings: Any
) -> None:
    """Seen: that the link opens on this computer alone was said once the quote was sent."""
    settings.SITE_URL = "http://127.0.0.1:8000"
    page = page_of(owner, "quote-send", quote)
    assert (
        "they begin with http://127.0.0.1:8000, which only this computer answers"
        in page.partition("Send quote</button>")[0]
    )
    settings.SITE_URL = "https://kitchen.example"
    assert "only this computer answers" not in page_of(owner, "quote-send", quote)


def test_without_an_address_the_page_says_so_and_the_link_is_copied(owner: Client, quote: Quote) -> None:
    quote.inquiry.customer.__class__.objects.update(email="")
    assert "No e-mail address is entered for" in page_of(owner, "quote-send", quote)
    page = owner.post(reverse("quote-send", args=[quote.pk]), ticks(quote), follow=True).content.decode()
    assert "The quote is final and can be approved. Send its link yourself" in page
    assert "on its way to the customer" not in page


def test_after_sending_a_change_of_an_order_it_is_called_a_change(client: Client, small_kitchen: Kitchen) -> None:
    order = order_make()
    line = order.lines.select_related("product").order_by("position")[0]
    draft = amend_begin(order, {line.product.code: line.units + 12})
    order.customer.__class__.objects.update(email="")
    Quote.objects.filter(pk=draft.pk).update(override_reason="a test's price")
    with patch("django.utils.timezone.now", lambda: BEGUN):
        client.force_login(factories.user_make())
        page = client.post(reverse("quote-send", args=[draft.pk]), ticks(draft), follow=True).content.decode()
    assert "The change is final and can be approved. Send its link yourself" in page


@pytest.mark.parametrize(
    ("change", "wording"),
    [
        (lambda quote: quote.lines.all().delete(), "There are no products yet."),
        (lambda quote: Quote.objects.update(valid_until=NOW - timedelta(days=1)), "has passed"),
        (
            lambda quote: quote.inquiry.__class__.objects.update(
                window_start=NOW - timedelta(days=1), window_end=NOW - timedelta(hours=23)
            ),
            "The event&#x27;s date and time have passed.",
        ),
        (
            lambda quote: quote.inquiry.__class__.objects.update(
                window_start=NOW + timedelta(hours=6), window_end=NOW + timedelta(hours=7)
            ),
            "Not before Thursday, January 7, 2027",
        ),
    ],
)
def test_what_stands_in_the_way_is_said_before_sending_and_refused_after(
    owner: Client, quote: Quote, change: Any, wording: str
) -> None:
    change(quote)
    page = page_of(owner, "quote-send", quote)
    assert wording in page
    assert "Send quote" not in page
    owner.post(reverse("quote-send", args=[quote.pk]), ticks(quote))
    assert Quote.objects.get(pk=quote.pk).status == "draft"


def test_what_a_guest_cannot_eat_is_shown_right_before_sending(owner: Client, quote: Quote) -> None:
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=[])
    assert "Before you send." not in page_of(owner, "quote-send", quote)
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=["milk"])
    page = page_of(owner, "quote-send", quote)
    assert page.index("Before you send.") < page.index("Send quote</button>")


def test_the_page_is_made_from_one_book_whatever_is_changed_meanwhile(
    quote: Quote, monkeypatch: pytest.MonkeyPatch
) -> None:
    def estimated_then_changed(*args: Any, **kwargs: Any) -> DraftEstimate:
        found = estimate_draft(*args, **kwargs)
        Product.objects.update(name="Another name", holding="Eat at once.")
        TaxCategory.objects.update(name="another name")
        Station.objects.update(air_c=9)
        catalog_changed()
        return found

    row = quotes_with_rows().get(pk=quote.pk)
    before = send_check(row, at=NOW).content
    monkeypatch.setattr("orders.quotes.send.check.estimate_draft", estimated_then_changed)
    assert send_check(row, at=NOW).content == before


def test_a_revision_begun_before_the_yes_is_not_offered_for_sending_after_it(owner: Client) -> None:
    first = factories.sent_make()
    draft = quote_revise(quote_id=first.pk, by=BY, at=NOW)
    quote_approve(
        quote_id=first.pk,
        content_sha256=Quote.objects.get(pk=first.pk).content_sha256,
        name="Ida Corven",
        evidence=ApprovalEvidence(),
        at=NOW,
    )
    page = page_of(owner, "quote-send", draft)
    assert "Another revision of this quote was approved and is an order." in page
    assert "Send quote" not in page


def test_the_check_shows_the_figures_of_the_inquiry_and_the_total_at_the_button(owner: Client, quote: Quote) -> None:
    page = page_of(owner, "quote-send", quote)
    margin = page[page.index('class="figures"') :]
    assert "Per guest" in margin
    assert "floor 45%" in margin
    before = page[: page.index("Send quote</button>")]
    assert "Total: $" in before[-200:]
