"""An allergen that is new in a dessert after its quote was sent: who reads it where, and what stays as it was."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.outbox.models import Outbox
from catalog.pantry.models import Ingredient
from orders.documents.content import sha256_of
from orders.quotes.cooling.selectors import Broken, Item, RuledTable
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus
from tests.factories import EVENT, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.private_link import entered

pytestmark = pytest.mark.django_db
NEW = "Walnut sponge cake, two tiers: now contains peanuts."
SINCE = "What we know about allergens has changed since"


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make()
    cache.clear()
    yield
    cache.clear()


def peanuts_found() -> None:
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts"])
    catalog_changed()


def test_the_customer_reads_it_above_every_statement_and_the_stored_text_stays(client: Client) -> None:
    quote = sent_make()
    page = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert SINCE not in page
    peanuts_found()
    for address in (f"/q/{quote.pk}/", f"/q/{quote.pk}/approve/"):
        page = text(client.get(address))
        assert f"{SINCE} we sent this" in page
        assert page.index(NEW) < page.find("Contains eggs, milk") or address.endswith("approve/")
        assert "this one cannot be approved as it is" in page
    stored = Quote.objects.get(pk=quote.pk)
    assert sha256_of(stored.content) == stored.content_sha256
    assert stored.content == quote.content


def test_what_is_not_checked_any_more_is_read_and_does_not_stop_the_approval(client: Client) -> None:
    quote = sent_make()
    Ingredient.objects.filter(code="walnut").update(allergen_answers={})
    catalog_changed()
    page = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert f"{SINCE} we sent this" in page
    assert "If anyone at your table has an allergy, speak with us before you approve." in page
    assert "cannot be approved" not in page
    approve(client, quote)
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.APPROVED


def test_what_was_free_for_a_need_and_nobody_knows_any_more_stops_it(client: Client) -> None:
    quote = sent_make(allergies=("peanuts",))
    assert quote.content.count('"serves":"free"'), "what stops is a claim of the quote"
    Ingredient.objects.filter(code="walnut").update(allergen_answers={})
    catalog_changed()
    page = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert "this one cannot be approved as it is" in page
    approve(client, quote)
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.SENT
    assert "Create revision with today's allergens" in text(signed_in().get(reverse("quote", args=[quote.pk])))


def test_what_was_approved_warns_too(client: Client) -> None:
    order = order_make()
    peanuts_found()
    page = text(entered(client, order.quote).get(f"/q/{order.quote_id}/"))
    assert f"{SINCE} you approved this" in page
    assert page.index(NEW) < page.index("What you approved")
    assert "Speak with us before anyone with an allergy eats any of it." in page


def test_the_owner_reads_it_on_the_quote_with_the_way_out() -> None:
    owner, quote = signed_in(), sent_make()
    address = reverse("quote", args=[quote.pk])
    assert "Changed since it was sent" not in text(owner.get(address))
    peanuts_found()
    page = text(owner.get(address))
    assert NEW in page
    assert "it cannot be approved. Create a revision and send it" in page
    assert "Create revision with today's allergens" in page


@pytest.mark.parametrize("name", ["inquiries", "repriced"])
def test_lists_of_open_quotes_mark_it(name: str) -> None:
    owner = signed_in()
    sent_make()
    mark = "Cannot be approved: settle allergies and allergens"
    assert mark not in text(owner.get(reverse(name)))
    peanuts_found()
    assert mark in text(owner.get(reverse(name)))


def test_the_days_list_of_waiting_quotes_marks_it() -> None:
    owner = signed_in()
    sent_make()
    mark = "Cannot be approved: settle allergies and allergens"
    assert mark not in text(owner.get(reverse("day")))
    peanuts_found()
    assert mark in text(owner.get(reverse("day")))


def test_order_and_hand_over_show_todays_statement_first_and_the_other_as_approved() -> None:
    owner, order = signed_in(), order_make()
    peanuts_found()
    for address in (
        reverse("order", args=[order.pk]),
        f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}",
    ):
        page = text(owner.get(address))
        now, _, approved = page.partition("Now: Contains")[2].partition("As approved on")
        assert "peanuts" in now
        assert "peanuts" not in approved.partition("</td>")[0][:200]
        assert page.count("Now: ") == 1, "what did not change has one statement"
        assert '<p class="line"><strong>Now:</strong>' in owner.get(address).content.decode(), "a line of its own"


def approve(client: Client, quote: Quote) -> str:
    form = {"name": "Ida Fenwick", "content_sha256": quote.content_sha256}
    return text(client.post(reverse("quote-page-approve", args=[quote.pk]), form))


def test_the_owner_gets_a_mail_once_for_each_reason_an_approval_was_stopped(client: Client) -> None:
    quote = sent_make()
    entered(client, quote)
    peanuts_found()
    for _ in range(2):
        assert "Nothing was approved" in approve(client, quote)
    asked = Outbox.objects.get(payload__mail="kitchen_stopped")
    assert asked.payload["words"].startswith(f"The allergens changed since it was sent. {NEW} Create a revision")
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts", "sesame"])
    catalog_changed()
    approve(client, quote)
    assert Outbox.objects.filter(payload__mail="kitchen_stopped").count() == 2, "another reason is another mail"


def test_a_broken_cooling_rule_is_written_to_the_owner_too(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = sent_make()
    entered(client, quote)
    tart = Broken(item=Item("product", 1), name="Custard tart, 10 cm", rule="the rule", mark="x")
    ruled = RuledTable(quote, (tart,))
    monkeypatch.setattr("orders.quotes.cooling.services.ruled_for_approval", lambda _: ruled)
    monkeypatch.setattr("orders.approvals.views.ruled_now", lambda _: ruled)
    for _ in range(2):
        approve(client, quote)
    asked = Outbox.objects.get(payload__mail="kitchen_stopped")
    assert asked.payload["words"].startswith("Custard tart, 10 cm: not cold in the time your rule asks for")
    assert "Record on the quote what is measured instead" in asked.payload["words"]
