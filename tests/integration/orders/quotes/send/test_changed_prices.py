"""A revision that moves the price of a dessert nobody changed: the owner sees it, and can keep the price sent."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from orders.approvals.links import link_create
from orders.approvals.models import Link
from orders.approvals.quote_page import changes_before, quote_page
from orders.documents.content import content_read
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.services import draft_save, table_version
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences
from orders.quotes.send.changed_prices import prices_stay
from orders.quotes.send.services import quote_revise
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


@pytest.fixture(autouse=True)
def now(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)


@pytest.fixture
def draft() -> Quote:
    """A revision in which only the tarts are fewer."""
    kitchen_make()
    sent = sent_make()
    revised = quote_revise(quote_id=sent.pk, by=BY, at=LATER)
    table = table_of(revised).with_line("custard-tart", units=36)
    return draft_save(quote_id=revised.pk, table=table, by=BY, at=LATER)


@pytest.fixture
def owner() -> Client:
    return signed_in()


def changes(draft: Quote) -> list[str]:
    pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=LATER))
    link_create(quote_id=draft.pk, at=LATER)
    found = quote_page(quote_id=draft.pk, link_ids=Link.objects.values_list("pk", flat=True), at=LATER)
    assert found is not None
    return change_sentences(changes_before(found))


def test_the_review_names_prices_that_moved_and_one_button_keeps_them(owner: Client, draft: Quote) -> None:
    address = reverse("quote-send", args=[draft.pk])
    shown = text(owner.get(address))
    assert "Prices that moved." in shown
    assert "1 × Walnut sponge cake, two tiers: keep $270.25 each (now $274.75)" in shown
    # Of the tarts the quantity changed: named apart, and not ticked.
    recounted = shown.partition("Prices that moved with the quantity.")[2]
    assert re.search(r"36 × Custard tart, 10 cm, before 78: keep \$[\d.]+ each \(now \$[\d.]+\)", recounted)
    ticks = re.findall(r'name="stay" value="([^"]*)" id="[^"]*"( checked)?', owner.get(address).content.decode())
    assert ticks == [("walnut-cake", " checked"), ("custard-tart", "")]
    form = dict(re.findall(r'name="(version)" value="([^"]*)"', owner.get(address).content.decode()))
    form["stay"] = "walnut-cake"
    answer = owner.post(reverse("quote-prices-stay", args=[draft.pk]), form, follow=True)
    page = text(answer)
    assert "Saved. These prices stay as sent, as price overrides." in page
    assert "Prices that moved." not in page
    assert "Prices that moved with the quantity." in page
    cake = draft.lines.get(product__code="walnut-cake")
    assert (cake.units, cake.unit_price_minor) == (1, 27_025)
    assert draft.lines.exclude(pk=cake.pk).filter(unit_price_minor=None).count() == 3
    assert not any("Walnut" in change for change in changes(draft))


def test_the_price_of_a_dessert_in_another_quantity_can_stay_too(owner: Client, draft: Quote) -> None:
    before = content_read(Quote.objects.get(number=draft.number, revision=1).content)
    tart = next(line for line in before.lines if line.product == "custard-tart")
    prices_stay(quote_id=draft.pk, codes=["custard-tart"], version=table_version(draft), by=BY, at=LATER)
    line = draft.lines.get(product__code="custard-tart")
    assert (line.units, line.unit_price_minor) == (36, tart.unit_price_minor)
    assert "Prices that moved with the quantity." not in text(owner.get(reverse("quote-send", args=[draft.pk])))


def test_the_review_shows_the_changes_that_the_customer_reads_on_top(owner: Client, draft: Quote) -> None:
    shown = text(owner.get(reverse("quote-send", args=[draft.pk])))
    top = shown.partition("will read")[2].partition("Thank you for asking us.")[0]
    assert "This is revision 2. It replaces revision 1." in top
    assert "Changed since revision 1:" in top
    for change in changes(draft):
        assert change in top


def test_a_price_that_moves_says_why_in_the_customers_list(draft: Quote) -> None:
    sentence = "Walnut sponge cake, two tiers: $274.75 each instead of $270.25: it depends on the whole order"
    found = changes(draft)
    assert any(change.startswith(sentence) for change in found), found
    tarts = [change for change in found if change.startswith("Custard tart") and " each " in change]
    assert tarts
    assert all(change.endswith(", because the number changed.") for change in tarts)


def test_a_table_saved_meanwhile_is_not_overwritten_and_no_tick_changes_nothing(owner: Client, draft: Quote) -> None:
    address = reverse("quote-prices-stay", args=[draft.pk])
    assert owner.post(address, {"stay": "walnut-cake"}).status_code == 409
    assert "Nothing changed." in text(owner.post(address, {}, follow=True))
    assert not draft.lines.exclude(unit_price_minor=None).exists()


def test_a_first_revision_has_no_price_that_moved(owner: Client) -> None:
    kitchen_make()
    assert "Prices that moved." not in text(owner.get(reverse("quote-send", args=[draft_make().pk])))
