"""The owner's screens of a quote: check and send, follow, answer, revise, withdraw, record a yes."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from orders.approvals import owner_views as answers
from orders.approvals.models import Message
from orders.approvals.quote_file import quote_file
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries import customer_views as customers
from orders.inquiries import views as inquiries
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes import views as quotes
from orders.quotes.changes import changes_between
from orders.quotes.draft import views as drafts
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from orders.quotes.price_check import views as quotes_prices
from orders.quotes.repriced import views as repriced
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send import views as send
from orders.quotes.send.check import send_check
from orders.quotes.send.services import quote_revise, quote_send
from orders.quotes.what_if import views as what_if
from tests import factories
from tests.factories import BY, NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def quote() -> Quote:
    """A wedding's draft in a kitchen that can price."""
    factories.kitchen_make()
    return factories.draft_make()


@pytest.fixture
def owner(client: Client, quote: Quote, monkeypatch: pytest.MonkeyPatch) -> Client:
    """A browser in which the owner is signed in, on the day of the tests."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    client.force_login(factories.user_make())
    return client


def sent(quote: Quote) -> Quote:
    return quote_send(quote_id=quote.pk, by=BY, at=NOW)


def page_of(owner: Client, name: str, quote: Quote) -> str:
    answer = owner.get(reverse(name, args=[quote.pk]))
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_the_check_shows_the_quote_page_and_sending_it_twice_sends_once(owner: Client, quote: Quote) -> None:
    page = page_of(owner, "quote-send", quote)
    assert "Send the quote" in page
    total = send_check(quotes_with_rows().get(pk=quote.pk), at=NOW).content
    assert total is not None
    for _ in range(2):
        sent_form = {"total_minor": str(total.total_minor), "allergies": "on"}
        answer = owner.post(reverse("quote-send", args=[quote.pk]), sent_form, follow=True)
        assert answer.status_code == 200
    assert "waiting for an answer" in answer.content.decode()
    assert Quote.objects.get(pk=quote.pk).total_minor == total.total_minor


def test_a_total_that_moved_is_not_sent_unseen(owner: Client, quote: Quote) -> None:
    page = owner.post(
        reverse("quote-send", args=[quote.pk]), {"total_minor": "100", "allergies": "on"}
    ).content.decode()
    assert "Not sent. The total is" in page
    assert Quote.objects.get(pk=quote.pk).status == "draft"


def test_below_the_floor_it_is_sent_only_with_the_reason_on_record(owner: Client, quote: Quote) -> None:
    draft_save(quote_id=quote.pk, table=factories.table_make(discount=Decimal("0.4")), by=BY, at=NOW)
    page = page_of(owner, "quote-send", quote)
    assert "no reason is on record" in page
    assert "Send the quote" not in page
    refused = owner.post(reverse("quote-send", args=[quote.pk]), {"allergies": "on"}).content.decode()
    assert "below the floor of 45.0" in refused
    owner.post(reverse("quote-override", args=[quote.pk]), {"reason": "Our first wedding at the Ropewalk"})
    assert "Our first wedding at the Ropewalk" in page_of(owner, "quote-send", quote)
    owner.post(reverse("quote-send", args=[quote.pk]), {"allergies": "on"})
    assert Quote.objects.get(pk=quote.pk).status == "sent"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda quote: quote.inquiry.customer.__class__.objects.update(email=""), "has no e-mail address"),
        (lambda quote: quote.lines.all().delete(), "Nothing is on the table yet."),
        (lambda quote: Quote.objects.update(valid_until=NOW - timedelta(days=1)), "has passed"),
        (
            lambda quote: quote.inquiry.__class__.objects.update(
                window_start=NOW - timedelta(days=1), window_end=NOW - timedelta(hours=23)
            ),
            "The hand-over is in the past.",
        ),
        (
            lambda quote: quote.inquiry.__class__.objects.update(
                window_start=NOW + timedelta(hours=6), window_end=NOW + timedelta(hours=7)
            ),
            "Not before Thursday 7 January 2027",
        ),
    ],
)
def test_what_stands_in_the_way_is_said_before_sending_and_refused_after(
    owner: Client, quote: Quote, change: Any, said: str
) -> None:
    change(quote)
    page = page_of(owner, "quote-send", quote)
    assert said in page
    assert "Send the quote" not in page
    owner.post(reverse("quote-send", args=[quote.pk]), {"allergies": "on"})
    assert Quote.objects.get(pk=quote.pk).status == "draft"


def test_a_sent_quote_offers_what_its_status_allows(owner: Client, quote: Quote) -> None:
    page = page_of(owner, "quote", sent(quote))
    for words in ("Record a yes", "Make a revision", "Withdraw"):
        assert words in page
    owner.post(reverse("quote-withdraw", args=[quote.pk]), {"reason": "The hall is closed"})
    page = page_of(owner, "quote", quote)
    assert "Make a revision" in page
    assert "Record a yes" not in page


def test_a_yes_by_phone_confirms_the_order_with_how_it_came(owner: Client, quote: Quote) -> None:
    sent(quote)
    address = reverse("quote-record-approval", args=[quote.pk])
    assert "Write down how the yes was given" in owner.post(address, {"name": "Ida Fenwick"}).content.decode()
    owner.post(address, {"name": "Ida Fenwick", "reason": "by phone, Wednesday at ten"})
    assert Order.objects.get().quote_id == quote.pk
    page = page_of(owner, "quote", quote)
    assert "recorded by maren" in page
    assert "Make a revision" not in page


def test_what_the_customer_asked_is_shown_and_answered_by_mail(owner: Client, quote: Quote) -> None:
    sent(quote)
    quote_ask_change(quote_id=quote.pk, text="Could it be ninety guests?", evidence=ApprovalEvidence(), at=NOW)
    assert "Could it be ninety guests?" in page_of(owner, "quote", quote)
    address = reverse("quote-reply", args=[quote.pk])
    assert "Write your reply." in owner.post(address, {"text": ""}).content.decode()
    owner.post(address, {"text": "It can. A new revision follows."})
    assert Message.objects.get(kind="reply").text == "It can. A new revision follows."


def test_a_revision_says_what_changed_and_keeps_the_old_one(owner: Client, quote: Quote) -> None:
    sent(quote)
    owner.post(reverse("quote-revise", args=[quote.pk]))
    draft = Quote.objects.get(status="draft")
    table = factories.table_make()
    table = table.with_line("rice-glass", units=84)
    draft_save(quote_id=draft.pk, table=table, by=BY, at=NOW)
    sent(draft)
    page = page_of(owner, "quote", draft)
    assert "Saffron rice cream with quince, glass: 84 instead of 72." in page
    assert "The total is" in page
    assert page_of(owner, "quote", quote)  # the old one is still there to read


def test_what_a_guest_cannot_eat_is_told_right_before_sending(owner: Client, quote: Quote) -> None:
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=[])
    assert "Before you send." not in page_of(owner, "quote-send", quote)
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=["milk"])
    page = page_of(owner, "quote-send", quote)
    assert page.index("Before you send.") < page.index("Send the quote</button>")


def test_a_revision_names_a_discount_given_and_one_taken_off(owner: Client, quote: Quote) -> None:
    draft_save(quote_id=quote.pk, table=factories.table_make(discount=Decimal("0.1")), by=BY, at=NOW)
    sent(quote)
    owner.post(reverse("quote-revise", args=[quote.pk]))
    draft = Quote.objects.get(status="draft")
    draft_save(quote_id=draft.pk, table=factories.table_make(discount=Decimal("0.05")), by=BY, at=NOW)
    sent(draft)
    page = page_of(owner, "quote", draft)
    assert "Discount of 10 % taken off: −$" in page
    assert "Discount of 5 % added: −$" in page
    assert "$0.00 instead of" not in page


def test_nothing_changed_is_nothing_to_say(quote: Quote) -> None:
    sent(quote)
    content = quote_file(quote.pk).content
    assert content is not None
    assert changes_between(content, content) == []


def test_a_quotes_file_takes_the_same_queries_for_one_revision_and_for_three(quote: Quote) -> None:
    sent(quote)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            quote_file(Quote.objects.latest("pk").pk)
        counts.append(len(caught))
        for _ in range(2):
            sent(quote_revise(quote_id=Quote.objects.latest("pk").pk, by=BY, at=NOW))
    assert counts[0] == counts[1]


def test_links_are_closed_and_the_pdf_is_given_when_it_is_made(owner: Client, quote: Quote) -> None:
    sent(quote)
    assert "closed" in owner.post(reverse("quote-links-revoke", args=[quote.pk]), follow=True).content.decode()
    assert owner.get(reverse("quote-pdf", args=[quote.pk])).status_code in (200, 404)


def test_repriced_lists_open_quotes_and_says_when_none_is(owner: Client, quote: Quote) -> None:
    assert quote.number in owner.get(reverse("repriced")).content.decode()
    Kitchen.objects.update(floor_margin=Decimal("0.9"))
    catalog_changed()
    assert "below your floor margin" in owner.get(reverse("repriced")).content.decode()
    quote.lines.all().delete()
    assert "nothing on the table yet" in owner.get(reverse("repriced")).content.decode()


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
        "quote-what-if",
        "quote-withdraw",
        "quote-record-approval",
    ):
        owner.get(reverse(name, args=[quote.pk]))
    assert Quote.objects.values().get(pk=quote.pk) == before
    for name in ("quote-draft", "quote-revise", "quote-reply", "quote-links-revoke", "quote-override"):
        assert owner.get(reverse(name, args=[quote.pk])).status_code == 405


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
            "title name email phone kind day start end hand_over distance crew guests budget allergies once pick",
        ),
        ("inquiry-copy", "title name day start end customer minutes setup_minutes pieces_per_guest"),
        ("inquiry-edit", "title day start end distance minutes crew setup_minutes guests pieces_per_guest budget"),
        ("inquiry-close", "reason"),
        ("customer-edit", "name email kind country tax_exempt note"),
        ("quote-terms", "valid_until deposit deposit_days balance_days final_count_on note"),
        ("quote-what-if", "margin discount product units do"),
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
    key = {"e": quote.inquiry_id, "c": quote.inquiry.customer_id}.get(name[0], quote.pk)
    address = reverse(name, args=[] if name == "inquiry-new" else [key])
    answer = client.post(address, dict(zip(fields.split(), words, strict=False)))
    assert answer.status_code in (200, 302, 409)


@pytest.mark.parametrize(
    "query", ["?search=%00&page=x", "?show=never&page=-3", "?page=99999999999999999999", "?customer=" + "9" * 30]
)
def test_odd_addresses_are_answered(owner: Client, query: str) -> None:
    for name in ("inquiries", "customers", "customers-known", "inquiry-new"):
        assert owner.get(reverse(name) + query).status_code == 200
    assert owner.get(f"/quotes/{10**30}/").status_code == 404
