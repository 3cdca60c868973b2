"""The owner's screens of inquiries and quotes: who may open them, that reading changes nothing, odd forms."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from orders.approvals import owner_views as answers
from orders.inquiries import customer_views as customers
from orders.inquiries import views as inquiries
from orders.quotes import views as quotes
from orders.quotes.draft import views as drafts
from orders.quotes.models import Quote
from orders.quotes.price_check import views as quotes_prices
from orders.quotes.repriced import views as repriced
from orders.quotes.send import views as send
from orders.quotes.what_if import views as what_if
from tests import factories

pytestmark = pytest.mark.django_db


def test_only_the_owner_may_open_any_of_these_pages() -> None:
    views = [
        view
        for module in (customers, drafts, inquiries, quotes, quotes_prices, send, what_if, answers, repriced)
        for view in vars(module).values()
        if getattr(view, "roles", None)
    ]
    assert len(views) >= 25
    assert all(view.roles == {"owner"} for view in views)


def test_get_changes_nothing(owner: Client, quote: Quote) -> None:
    before = Quote.objects.values().get(pk=quote.pk)
    for name in (
        "quote-send",
        "quote-terms",
        "quote-price-check",
        "quote-withdraw",
        "quote-record-approval",
    ):
        owner.get(reverse(name, args=[quote.pk]))
    assert Quote.objects.values().get(pk=quote.pk) == before
    opened = owner.get(reverse("quote-draft", args=[quote.pk]))
    assert opened["Location"] == reverse("inquiry", args=[quote.inquiry_id]), "it stands in the browser after a split"


@pytest.mark.parametrize(
    ("action", "page"),
    [
        ("quote-revise", "quote"),
        ("quote-reply", "quote"),
        ("quote-messages-seen", "quote"),
        ("quote-links-revoke", "quote"),
        ("quote-day-release", "quote"),
        ("quote-override", "quote-send"),
        ("quote-what-if", "quote-price-check"),
        ("quote-start", "inquiry"),
        ("inquiry-reopen", "inquiry"),
    ],
)
def test_opening_an_actions_address_leads_to_the_page_with_its_form(
    owner: Client, quote: Quote, action: str, page: str
) -> None:
    key = quote.inquiry_id if page == "inquiry" else quote.pk
    for opened in (owner.get, owner.head):
        answer = opened(reverse(action, args=[key]))
        assert (answer.status_code, answer["Location"]) == (302, reverse(page, args=[key]))
    assert owner.put(reverse(action, args=[key])).status_code == 405


ODD = st.one_of(
    st.text(max_size=10),
    st.sampled_from(
        ["", "0", "-1", "9" * 40, "NaN", "\x00", "½", "2027-02-30", "25:61", "1e400", "٣٣", "on", "keep", "private"]
    ),
)
PLACES = st.sampled_from(
    [
        (
            "inquiry-new",
            "title name email phone kind day start end hand_over distance guests budget allergies idempotency_key pick",
        ),
        ("inquiry-copy", "title name day start end customer minutes setup_minutes pieces_per_guest"),
        ("inquiry-edit", "title day start end distance minutes crew setup_minutes guests pieces_per_guest budget"),
        ("inquiry-close", "reason"),
        ("customer-edit", "name email kind country tax_exempt note"),
        ("quote-terms", "valid_until deposit deposit_days balance_days final_count_on note"),
        ("quote-what-if", "margin discount version"),
        ("quote-override", "reason"),
        ("quote-send", "total_minor"),
    ]
)


@given(place=PLACES, words=st.lists(ODD, min_size=16, max_size=16))
def test_no_odd_form_breaks_a_page(place: tuple[str, str], words: list[str]) -> None:
    """Whatever is sent, the answer is a page, a redirect or a refusal in words."""
    name, fields = place
    quote = Quote.objects.select_related("inquiry").first()
    if quote is None:
        factories.kitchen_make()
        quote = factories.draft_make()
        factories.user_make()
    client = Client()
    client.force_login(User.objects.get())
    keys = {"inquiry": quote.inquiry_id, "customer": quote.inquiry.customer_id, "quote": quote.pk}
    key = keys[name.partition("-")[0]]
    address = reverse(name, args=[] if name == "inquiry-new" else [key])
    answer = client.post(address, dict(zip(fields.split(), words, strict=False)))
    assert answer.status_code in (200, 302, 409)


@pytest.mark.parametrize(
    "query",
    [
        "?search=%00&page=x",
        "?show=never&page=-3",
        "?page=99999999999999999999",
        "?customer=" + "9" * 30,
        "?day=%00&besides=²",
    ],
)
def test_odd_addresses_are_answered(owner: Client, query: str) -> None:
    for name in ("inquiries", "customers", "customers-known", "inquiry-new", "inquiry-same-day"):
        assert owner.get(reverse(name) + query).status_code == 200
    assert owner.get(f"/quotes/{10**30}/").status_code == 404


def test_a_form_that_no_longer_fits_leads_to_the_quote_with_a_sentence(owner: Client) -> None:
    approved = factories.approved_make()
    for name, words in (
        ("quote-withdraw", "is approved, so it cannot be withdrawn."),
        ("quote-record-approval", "is approved, so no approval can be recorded."),
    ):
        answer = owner.get(reverse(name, args=[approved.pk]), follow=True)
        assert answer.redirect_chain == [(reverse("quote", args=[approved.pk]), 302)]
        assert words in answer.content.decode()
