"""Approvals while the catalog has an error: judged by what needs no price, or refused, and the yes is not lost."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current, book_unpriced
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.pantry.models import Ingredient
from catalog.price_rules.models import PriceRule
from catalog.rates.models import Station
from catalog.recipes.models import RecipeLine
from catalog.records.errors import CannotPrice
from orders.approvals.messages import MESSAGES_A_DAY, approval_held
from orders.approvals.models import Message
from orders.approvals.services import (
    ApprovalEvidence,
    quote_ask_change,
    quote_record_approval,
)
from orders.orders.models import Order
from orders.quotes.cooling.approvable import cannot_be_approved
from orders.quotes.models import Quote
from orders.records.errors import KitchenMustCheck, KitchenMustLook, KitchenMustTell, NotJudgedNow
from tests.factories import BY, line_make, sent_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in
from tests.integration.orders.private_link import entered
from tests.integration.orders.quotes.cooling.drafts import SOON, TART, approve, cold_room_at, sent_shallow, tart_deep
from tests.refusals import refused

pytestmark = pytest.mark.django_db
LOOK = "Nothing was approved yet: the kitchen has to look at this quote first. We have sent them a note"


@pytest.fixture(autouse=True)
def fresh() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


def cannot_price() -> None:
    """Break what is paid and charged, and nothing that a dessert consists of."""
    Station.objects.filter(code="cold-room").update(hourly="-1")
    PriceRule.objects.all().delete()
    catalog_changed()
    with pytest.raises(CannotPrice):
        book_current()


def unreadable() -> None:
    """Make an amount in the custard one that nobody can read."""
    line = RecipeLine.objects.filter(recipe__code="custard").order_by("pk")[0]
    RecipeLine.objects.filter(pk=line.pk).update(amount="a handful")
    catalog_changed()
    with pytest.raises(CannotPrice):
        book_current()


class TestPricesAlone:
    def test_what_keeps_its_rule_is_approved(self) -> None:
        quote = sent_shallow()
        cannot_price()
        approve(quote)
        assert Order.objects.exists()

    def test_what_breaks_its_rule_by_now_is_not(self) -> None:
        quote = sent_shallow()
        tart_deep("7.5")
        cannot_price()
        with pytest.raises(KitchenMustCheck):
            approve(quote)

    def test_what_never_gets_cold_is_not(self) -> None:
        quote = sent_shallow()
        cold_room_at("10")
        cannot_price()
        with pytest.raises(KitchenMustCheck):
            approve(quote)

    def test_an_allergen_statement_that_is_not_true_any_more_is_not(self) -> None:
        quote = sent_shallow()
        cream = Ingredient.objects.get(code="cream")
        Ingredient.objects.filter(pk=cream.pk).update(allergens=[*cream.allergens, "peanuts"])
        cannot_price()
        with pytest.raises(KitchenMustTell):
            approve(quote)

    def test_an_error_in_what_the_quote_does_not_have_stops_nobody(self) -> None:
        quote = sent_shallow()
        Ingredient.objects.filter(code="quince").update(density="-1")
        RecipeLine.objects.filter(recipe__code="quince").update(amount="a handful")
        catalog_changed()
        with pytest.raises(CannotPrice):
            book_current()
        approve(quote)
        assert Order.objects.exists()

    def test_a_sound_catalog_is_taken_as_it_is(self) -> None:
        sent_shallow()
        assert book_unpriced([TART]) is book_current()


class TestNotEvenThat:
    def test_customer_and_owner_read_why_and_what_to_do(self) -> None:
        quote = sent_shallow()
        unreadable()
        with refused(KitchenMustLook, match=LOOK):
            approve(quote)
        facts: dict[str, Any] = {"quote_id": quote.pk, "name": "Ida", "reason": "By phone", "by": BY, "at": SOON}
        with refused(NotJudgedNow, match="cannot be approved now: the catalog has an error in what it consists of"):
            quote_record_approval(**facts)
        assert not Order.objects.exists()

    def test_a_product_that_the_catalog_does_not_know_is_not_judged(self) -> None:
        sent_shallow()
        cannot_price()
        with pytest.raises(CannotPrice):
            book_unpriced([TART, "gone"])

    def test_without_a_kitchen_nothing_is_judged(self) -> None:
        quote = sent_shallow()
        Kitchen.objects.all().delete()
        catalog_changed()
        with pytest.raises(KitchenMustLook):
            approve(quote)


def answered_yes(client: Client, quote: Quote) -> Any:
    form = {"name": "Ida Fenwick", "content_sha256": quote.content_sha256}
    return client.post(reverse("quote-page-approve", args=[quote.pk]), form)


class TestTheYesIsNotLost:
    def test_the_page_says_so_and_the_kitchen_has_a_message_and_a_mail_once(self, client: Client) -> None:
        quote = sent_shallow()
        unreadable()
        for _ in range(2):
            answer = answered_yes(entered(client, quote), quote)
            assert answer.status_code == 409
            assert LOOK in answer.content.decode()
        message = Message.objects.get(quote=quote)
        assert message.text.startswith("Ida Fenwick wanted to approve this quote on its page, and read: “Nothing was")
        assert (message.by, message.seen_at) == ("Ida Fenwick", None)
        assert Outbox.objects.filter(payload__mail="kitchen_must_look").count() == 1

    def test_a_rule_that_is_broken_informs_the_kitchen_too(self, client: Client) -> None:
        quote = sent_shallow()
        tart_deep("7.5")
        assert answered_yes(entered(client, quote), quote).status_code == 409
        assert Message.objects.filter(quote=quote, text__contains="wanted to approve").count() == 1

    def test_when_it_is_mended_the_same_page_approves(self, client: Client) -> None:
        quote = sent_shallow()
        unreadable()
        answered_yes(entered(client, quote), quote)
        RecipeLine.objects.filter(amount="a handful").update(amount="500 g")
        catalog_changed()
        assert answered_yes(client, quote).status_code == 302
        assert Order.objects.filter(quote=quote).exists()

    def test_a_day_full_of_messages_takes_no_more_and_raises_nothing(self) -> None:
        quote = sent_shallow()
        held = [
            approval_held(quote_id=quote.pk, name=f"Ida {at}", words=f"Ida {at} wanted", reasons=(), at=SOON)
            for at in range(MESSAGES_A_DAY + 1)
        ]
        assert held[-1] is None
        assert Message.objects.count() == MESSAGES_A_DAY

    def test_who_cannot_be_sent_a_note_does_not_read_that_it_was_sent(self, client: Client) -> None:
        quote = sent_shallow()
        now = timezone.now()
        for at in range(MESSAGES_A_DAY):
            quote_ask_change(quote_id=quote.pk, text=f"Change {at}", evidence=ApprovalEvidence(), at=now)
        unreadable()
        answer = answered_yes(entered(client, quote), quote)
        assert answer.status_code == 409
        page = answer.content.decode()
        assert "We have sent them a note" not in page
        assert "no further message about it can be sent to them today. Call the kitchen" in page
        assert not Outbox.objects.filter(payload__mail="kitchen_must_look").exists()


class TestWhatStopsItIsShown:
    """What stops an approval while the catalog cannot price stands where it stands otherwise."""

    def test_a_new_allergen_is_read_by_customer_and_owner(self, client: Client) -> None:
        quote = sent_shallow()
        cream = Ingredient.objects.get(code="cream")
        Ingredient.objects.filter(pk=cream.pk).update(allergens=[*cream.allergens, "peanuts"])
        cannot_price()
        words = "now contains peanuts"
        assert words in entered(client, quote).get(reverse("quote-page", args=[quote.pk])).content.decode()
        answered_yes(client, quote)
        assert words in Outbox.objects.get(payload__mail="kitchen_stopped").payload["words"]
        owner = signed_in("owner")
        assert words in owner.get(reverse("quote", args=[quote.pk])).content.decode()
        assert "settle allergies and allergens</a>" in owner.get(reverse("day")).content.decode()

    def test_a_broken_rule_is_read_by_the_owner(self) -> None:
        quote = sent_shallow()
        tart_deep("7.5")
        cannot_price()
        owner = signed_in("owner")
        page = owner.get(reverse("quote", args=[quote.pk])).content.decode()
        assert "Until it is, the quote cannot be approved." in page
        assert "settle its cooling</a>" in owner.get(reverse("day")).content.decode()

    def test_a_quote_that_cannot_be_read_hides_no_other(self) -> None:
        quote = sent_shallow()
        tart_deep("7.5")
        other = table_make(lines=(line_make("walnut-cake", 2),), extras=())
        spoiled = sent_make(table=other)
        RecipeLine.objects.filter(ingredient__code="walnut").update(amount="a handful")
        catalog_changed()
        with pytest.raises(CannotPrice):
            book_unpriced(["walnut-cake"])
        assert cannot_be_approved(list(Quote.objects.filter(pk__in=[quote.pk, spoiled.pk]))) == {quote.pk}

    def test_a_part_is_made_once_for_a_book(self) -> None:
        sent_shallow()
        cannot_price()
        assert book_unpriced([TART]) is book_unpriced([TART])
