"""A quote's cancellation table: from the kitchen's, edited with the terms, frozen when it is sent, copied later."""

import json
from dataclasses import replace
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.cancellation import RetainedRow
from catalog.kitchen.models import Kitchen
from orders.documents.content import canonical, content_read
from orders.quotes.changes import changes_between
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from tests.factories import BY, NOW, draft_make, kitchen_make, sent_make
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.amending import amend_send
from tests.integration.orders.builders import order_make
from tests.integration.orders.private_link import entered

pytestmark = pytest.mark.django_db
TABLE = [{"days": 21, "share": "0.3"}, {"days": 7, "share": "1"}]
ROWS = (RetainedRow(21, Decimal("0.3")), RetainedRow(7, Decimal(1)))


def test_a_draft_begins_with_the_kitchens_and_its_content_has_it() -> None:
    kitchen_make(cancellation_table=TABLE)
    quote = sent_make()
    assert quote.cancellation_table == TABLE
    content = content_read(quote.content)
    assert content.cancellation_table == ROWS
    assert canonical(content) == quote.content
    assert json.loads(quote.content)["cancellation_table"] == TABLE


def test_without_a_table_a_content_is_what_it_was_before_there_were_any() -> None:
    kitchen_make()
    assert "cancellation_table" not in sent_make().content


def test_a_revision_and_a_change_have_the_one_before() -> None:
    kitchen_make(cancellation_table=TABLE)
    order = order_make()
    Kitchen.objects.update(cancellation_table=[])
    assert content_read(amend_send(order, {"quince-square": 48}).content).cancellation_table == ROWS
    quote = sent_make()
    Quote.objects.filter(pk=quote.pk).update(status="sent")
    assert quote_revise(quote_id=quote.pk, by=BY, at=NOW).cancellation_table == []


def test_another_table_is_a_change_of_the_terms() -> None:
    kitchen_make(cancellation_table=TABLE)
    before = content_read(sent_make().content)
    after = replace(before, cancellation_table=ROWS[:1])
    assert [reason.code for reason in changes_between(before, after)] == ["cancellation_terms"]


def test_rows_of_a_draft_are_edited_with_its_terms(owner: Client) -> None:
    Kitchen.objects.update(cancellation_table=TABLE)
    draft = draft_make()
    address = reverse("quote-terms", args=[draft.pk])
    form = edit_form_of(owner.get(address)).data()
    assert owner.post(address, {**form, "retained-0-share": "40"}).status_code == 302
    assert Quote.objects.get(pk=draft.pk).cancellation_table[0] == {"days": 21, "share": "0.4"}
    form = edit_form_of(owner.get(address)).data()
    page = owner.post(address, {**form, "retained-1-share": "20", "note": "With love"})
    assert "The charge cannot fall as the event comes nearer." in page.content.decode()
    assert "With love" in page.content.decode(), "what was entered stays"
    assert owner.post(address, {**form, "retained-0-DELETE": "on", "retained-1-DELETE": "on"}).status_code == 302
    assert Quote.objects.get(pk=draft.pk).cancellation_table == []


def test_owner_and_customer_read_it_in_words(owner: Client) -> None:
    Kitchen.objects.update(cancellation_table=TABLE)
    draft = draft_make()
    words = "Canceled on or before Friday, January 15, 2027: no charge."
    assert words in owner.get(reverse("quote-send", args=[draft.pk])).content.decode()
    sent = sent_make()
    customer = entered(Client(), sent)
    for name in ("quote-page", "quote-page-approve"):
        assert words in customer.get(reverse(name, args=[sent.pk])).content.decode(), name
