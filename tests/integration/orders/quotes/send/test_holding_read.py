"""A text on keeping that stands beside the rule's own words is read by somebody before a quote goes."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from orders.documents.content import content_read
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.records.cooling_errors import HoldingContradicts
from orders.records.models import AuditEntry
from orders.records.need_errors import TextUnread
from tests.factories import BY, NOW, draft_make, quote_send_seen
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.quotes.send.ticks import ticks

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("small_kitchen")]
SHADE = "Set it in the shade of the tent, best with a spoon of cream."
WARM = "Best at room temperature: leave it out all day on the buffet."


def held_by(words: str) -> Quote:
    Product.objects.update(holding=words)
    catalog_changed()
    return draft_make()


def asked(quote: Quote) -> dict[str, str]:
    found = send_check(quotes_with_rows().get(pk=quote.pk), at=NOW).to_read
    return {one.dishes[0]: one.recorded[0] for one in found if one.kind == "holding"}


def test_what_may_contradict_the_cold_is_asked_about_by_name(owner: Client) -> None:
    quote = held_by(SHADE)
    beside = asked(quote)[SHADE]
    assert "Keep at 41 °F or colder" in beside
    address = reverse("quote-send", args=[quote.pk])
    page = text(owner.get(address))
    assert f"the customer reads your “{SHADE.rstrip('.')}” and, after it, “Keep at 41 °F or colder" in page
    refused = owner.post(address, {**ticks(quote), "read": []})
    assert "or check the box that both can be followed" in text(refused)
    assert Quote.objects.get(pk=quote.pk).sent_at is None
    with pytest.raises(TextUnread):
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW, read=[])


def test_it_is_asked_once_of_a_text_and_again_of_another() -> None:
    quote_send_seen(quote_id=held_by(SHADE).pk, by=BY, at=NOW)
    assert AuditEntry.objects.filter(event="holding_read", by=BY).exists()
    assert asked(draft_make()) == {}
    assert list(asked(held_by("In the larder it keeps a week."))) == ["In the larder it keeps a week."]


@pytest.mark.parametrize(
    "words",
    [
        "",
        "Keep cold.",
        "Keep it cold until it is served.",
        "Keep refrigerated",
        "Store at 41 °F or colder.",
        "Keep refrigerated at 41 °F or colder.",
        "Keep in the fridge until eaten.",
    ],
)
def test_plain_words_for_the_cold_are_not(words: str) -> None:
    assert asked(held_by(words)) == {}


@pytest.mark.parametrize(
    "words",
    [
        WARM,
        "Store at room temperature.",
        "It may stand out for 9 hours.",
        "Nicht kühlen.",
        "Chilling is not needed.",
        "Keep refrigerated. Good for 9 h on the dessert table.",
        "Take it out 20 min before serving. Then it can be on the buffet for 9 h.",
        "Keep refrigerated. On display from morning until the dancing ends.",
    ],
)
def test_a_text_that_contradicts_the_rule_is_refused_whoever_ticks_it(owner: Client, words: str) -> None:
    quote = held_by(words)
    assert asked(quote) == {}
    answer = owner.get(reverse("quote-send", args=[quote.pk]))
    page = text(answer)
    assert f"your text “{words}” says to keep it out of the cold, and the quote says “" in page
    assert reverse("product-edit", args=[Product.objects.get(code="custard-tart").pk]) in answer.content.decode()
    panel = owner.get(reverse("inquiry", args=[quote.inquiry_id])).context["issues"].problems
    named = [one.sentence for one in answer.context["problems"] if f"your text “{words}”" in one.sentence]
    assert [one.sentence for one in panel if one.sentence in named] == named != []
    assert len(panel) == len(answer.context["problems"]), [one.sentence for one in panel]
    with pytest.raises(HoldingContradicts):
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    assert Quote.objects.get(pk=quote.pk).sent_at is None


def test_the_rules_words_stand_before_a_text_that_does_not_say_cold() -> None:
    sent = quote_send_seen(quote_id=held_by(SHADE).pk, by=BY, at=NOW)
    (held, *_) = [line.holding for line in content_read(sent.content).lines]
    assert held.startswith("Keep at 41 °F or colder")
    assert held.endswith(SHADE)
