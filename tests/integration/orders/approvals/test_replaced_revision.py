"""An older revision stays readable, and names the one that replaced it."""

import pytest
from django.test import Client
from django.urls import reverse

from orders.quotes.send.services import quote_revise, quote_withdraw
from tests import factories
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def test_a_replaced_revision_names_the_one_that_took_its_place(owner: Client) -> None:
    old = factories.sent_make()
    new = quote_revise(quote_id=old.pk, by=factories.BY, at=factories.NOW)
    assert "replaced by revision 2" not in owner.get(reverse("quote", args=[old.pk])).content.decode()
    quote_send_seen(quote_id=new.pk, by=factories.BY, at=factories.NOW)
    assert "replaced by revision 2" in owner.get(reverse("quote", args=[old.pk])).content.decode()
    assert "replaced by revision 2" in owner.get(reverse("inquiry", args=[old.inquiry_id])).content.decode()


def test_a_withdrawn_one_that_nothing_replaced_is_withdrawn(owner: Client) -> None:
    old = factories.sent_make()
    quote_withdraw(quote_id=old.pk, reason="", by=factories.BY, at=factories.NOW)
    page = owner.get(reverse("quote", args=[old.pk])).content.decode()
    assert "replaced by" not in page
    assert "withdrawn" in page
