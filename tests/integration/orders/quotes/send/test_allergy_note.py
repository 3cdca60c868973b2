"""An allergy note that no needs stand for warns nobody, so it is settled by name before a quote leaves."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote
from orders.records.errors import NoteUnsettled
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests import factories
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.quotes.send.ticks import ticks
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db

NOTE = "2 coeliac, 1 peanut, 1 fish"


def drafted(note: str, *needs: str) -> Quote:
    return factories.draft_make(table=factories.table_make(), allergies=needs, allergy_note=note)


def test_a_note_without_needs_is_settled_by_a_choice_that_stays_on_record(owner: Client) -> None:
    draft = drafted(NOTE)
    send = reverse("quote-send", args=[draft.pk])
    assert f"“{NOTE}”" in text(owner.get(send))
    refused = text(owner.post(send, ticks(draft)))
    assert f"Not sent. Add the needs, or tick that there is none in “{NOTE}”." in refused
    assert "no guest has this as an allergy or diet (2 × gluten" in refused
    assert "Not sent." in text(owner.post(send, {**ticks(draft), "settled_note": "ok"}))
    with pytest.raises(NoteUnsettled):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW)
    owner.post(send, {**ticks(draft), "no_need_in_note": "on"})
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.SENT
    assert AuditEntry.objects.get(event="no_need_in_note").params == {"named": ["gluten", "peanuts", "fish"]}
    page = text(owner.get(reverse("quote", args=[draft.pk])))
    assert "allergy note read: no need in it" in page
    assert "words in it: gluten (celiac), peanuts and fish" in page


def test_what_is_settled_is_not_lost_when_something_else_is_not_ticked(owner: Client) -> None:
    draft = drafted(NOTE)
    page = owner.post(reverse("quote-send", args=[draft.pk]), {"no_need_in_note": "on"})
    assert re.search(r'id="no_need_in_note"\s+checked', page.content.decode())


def test_the_draft_offers_the_needs_it_names_and_the_form_has_them_filled_in(owner: Client) -> None:
    draft = drafted(NOTE)
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "2 × gluten" in page
    assert "1 × peanuts and 1 × fish" in page
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    assert "You entered: “2 coeliac, 1 peanut, 1 fish”" in text(owner.get(edit))
    form = edit_form_of(owner.get(f"{edit}?needs=note"))
    assert set(form.fields["allergies"]) == {"gluten", "peanuts", "fish"}
    owner.post(edit, form.data())
    found = Inquiry.objects.get(pk=draft.inquiry_id)
    assert found.need_counts == {"gluten": 2, "peanuts": 1, "fish": 1}
    assert "Allergy note." not in text(owner.get(reverse("quote-send", args=[draft.pk])))


@pytest.mark.parametrize(
    ("note", "needs"), [("", ()), ("Nuts, please be careful.", ("tree-nuts",)), ("One carries a pen.", ("milk",))]
)
def test_a_note_that_needs_stand_for_asks_nothing(owner: Client, note: str, needs: tuple[str, ...]) -> None:
    draft = drafted(note, *needs)
    assert quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).status == QuoteStatus.SENT


def test_a_need_that_only_the_note_names_is_asked_beside_those_ticked(owner: Client) -> None:
    draft = drafted("1 coeliac", "wheat")
    page = owner.get(reverse("quote-send", args=[draft.pk])).content.decode()
    assert re.search(r"Not among the needs: 1 × gluten", page)
