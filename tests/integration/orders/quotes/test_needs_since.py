"""Lists of what serves the guests' needs after a quote was sent: nothing stands as free that is not free any more."""

import re
from collections.abc import Iterator

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.pantry.models import Ingredient
from orders.approvals.errors import KitchenMustAnswer, NeedsNotInQuote
from orders.approvals.messages import approval_held
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.documents.content import content_read, sha256_of
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import since_now
from orders.quotes.models import Quote
from orders.records.errors import KitchenMustCheck
from tests.factories import BY, EVENT, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.private_link import entered
from tests.refusals import refused

pytestmark = pytest.mark.django_db
CAKE = "Walnut sponge cake, two tiers"
BEFORE = re.compile(r"everything on this table is free of|every dessert is free of", re.I)
#: In the lists of the kitchen, and in the short sentence of the customer.
NOT_FOR_THEM = re.compile(
    rf"not for them:[^.]*{CAKE} \(contains peanuts"
    rf"(?:, changed since [^)]+\)|\)\. (?:The other|Free of) [^.]*\. Changed since [^:]*: {CAKE}\.)",
    re.I,
)
FREE = re.compile(rf"free of (?:it|peanuts), by the suppliers' labels:[^.]*{CAKE}", re.I)


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make(phone="555 0100")
    cache.clear()
    yield
    cache.clear()


def answered(**answers: object) -> None:
    Ingredient.objects.filter(code="walnut").update(**answers)
    catalog_changed()


def peanuts_found() -> None:
    answered(allergens=["walnuts", "peanuts"])


def not_free_any_more(page: str) -> None:
    assert NOT_FOR_THEM.search(page)
    assert not FREE.search(page)
    assert not BEFORE.search(page)


def test_the_pages_of_an_order_list_its_needs_by_todays_answers(client: Client) -> None:
    owner, order = signed_in(), order_make(allergies=("peanuts",), need_counts={"peanuts": 1})
    addresses = (
        reverse("order", args=[order.pk]),
        f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}",
        reverse("quote", args=[order.quote_id]),
    )
    for address in addresses:
        assert BEFORE.search(text(owner.get(address)))
    peanuts_found()
    for address in addresses:
        not_free_any_more(text(owner.get(address)))
    not_free_any_more(text(entered(client, order.quote).get(f"/q/{order.quote_id}/")))


def test_the_day_names_it_too(monkeypatch: pytest.MonkeyPatch) -> None:
    order_make(allergies=("peanuts",))
    peanuts_found()
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT)
    assert NOT_FOR_THEM.search(text(signed_in("kitchen").get(reverse("day"))))


def test_the_pages_of_an_open_quote_and_the_mail_list_them_by_todays_answers(client: Client) -> None:
    owner, quote = signed_in(), sent_make(allergies=("peanuts",))
    peanuts_found()
    for address in (reverse("quote", args=[quote.pk]), reverse("quote-record-approval", args=[quote.pk])):
        not_free_any_more(text(owner.get(address)))
    page = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    not_free_any_more(page)
    assert "Contains eggs, milk, walnuts and peanuts" in page
    approval_held(quote_id=quote.pk, name="Ida", words="wanted to", reasons=["Peanuts."], at=NOW)
    row = Outbox.objects.get(payload__mail="kitchen_stopped")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    not_free_any_more(str(mail.outbox[-1].body))
    stored = Quote.objects.get(pk=quote.pk)
    assert sha256_of(stored.content) == stored.content_sha256


def test_what_became_free_does_not_become_free_in_what_was_sent() -> None:
    quote = sent_make(allergies=("walnuts", "peanuts"))
    content = content_read(quote.content)
    answered(allergens=[], allergen_answers={})
    walnuts, peanuts = since_now([(content, quote.inquiry)])[0].table
    of_cake = {dish.name: dish for dish in walnuts.need.dishes}[CAKE]
    assert (of_cake.serves, walnuts.changed) == ("contains", frozenset())
    of_cake = {dish.name: dish for dish in peanuts.need.dishes}[CAKE]
    assert (of_cake.serves, peanuts.changed) == ("unchecked", frozenset({CAKE}))


def test_a_quote_that_allergens_stop_offers_no_yes(client: Client) -> None:
    quote = sent_make()
    entered(client, quote)
    address, approve = f"/q/{quote.pk}/", f"/q/{quote.pk}/approve/"
    assert "Valid until" in text(client.get(address))
    assert "out of date" not in text(client.get(address))
    peanuts_found()
    page = text(client.get(address))
    for words in ("Valid until", "Review and approve"):
        assert words not in page
    assert "This quote cannot be approved now." in page
    assert "Call us on 555 0100 or write to us" in page
    assert "The PDF is as it was sent: its allergen information is out of date." in page
    page = text(client.get(approve))
    assert "Your approval" not in page
    assert content_read(quote.content).button not in page
    assert "The allergens of part of this changed since we sent it." in page


def test_a_quote_that_its_cooling_stops_offers_no_yes(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = sent_make()
    entered(client, quote)

    def stops(_quote: Quote, *, by_customer: bool) -> None:
        assert by_customer
        raise KitchenMustCheck()

    monkeypatch.setattr("orders.approvals.quote_page.check_approval", stops)
    page = text(client.get(f"/q/{quote.pk}/"))
    assert "Review and approve" not in page
    assert "We first have to settle how part of this is kept cold. Call us on 555 0100" in page
    assert "this quote cannot be approved as it is" in page
    assert "Your approval" not in text(client.get(f"/q/{quote.pk}/approve/"))


class TestANeedRecordedAfterSending:
    """Nobody approves a quote that does not answer what the kitchen knows of its guests."""

    @pytest.fixture
    def quote(self) -> Quote:
        sent = sent_make()
        inquiry_need(sent, "eggs")
        return Quote.objects.get(pk=sent.pk)

    def test_the_customer_cannot_approve_and_reads_why(self, quote: Quote) -> None:
        with refused(KitchenMustAnswer, match="does not answer that yet"):
            quote_approve(
                quote_id=quote.pk,
                content_sha256=quote.content_sha256,
                name="Ida Corven",
                evidence=ApprovalEvidence(),
                at=NOW,
            )
        page = text(entered(Client(), quote).get(reverse("quote-page", args=[quote.pk])))
        assert "This quote cannot be approved now." in page
        assert "what you told us of allergies or diets after we sent it" in page

    def test_nor_does_the_owner_record_a_yes(self, quote: Quote) -> None:
        with refused(NeedsNotInQuote, match="eggs. Send a revision"):
            quote_record_approval(quote_id=quote.pk, name="Ida Corven", reason="By phone", by=BY, at=NOW)

    def test_lists_of_open_quotes_say_so(self, quote: Quote) -> None:
        owner = signed_in()
        assert "Cannot be approved" in owner.get(reverse("day")).content.decode()

    def test_what_all_of_the_table_serves_stops_nothing(self) -> None:
        sent = sent_make()
        inquiry_need(sent, "peanuts")
        answered = Ingredient.objects.all()
        for row in answered:
            row.allergen_answers = {**row.allergen_answers, "peanuts": "free"}
            row.save()
        catalog_changed()
        quote_approve(
            quote_id=sent.pk,
            content_sha256=Quote.objects.get(pk=sent.pk).content_sha256,
            name="Ida Corven",
            evidence=ApprovalEvidence(),
            at=NOW,
        )


def inquiry_need(quote: Quote, need: str) -> None:
    """Record a need on the inquiry of a quote, as its page does."""
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=[need])
