"""An allergy note that no needs stand for warns nobody, so it is settled by name before a quote leaves."""

import re
from typing import Any

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
from tests.sending import quote_send_seen, words_read

pytestmark = pytest.mark.django_db

NOTE = "2 coeliac, 1 peanut, 1 fish"


def drafted(note: str, *needs: str) -> Quote:
    return factories.draft_make(table=factories.table_make(), allergies=needs, allergy_note=note)


def unread(draft: Quote) -> dict[str, Any]:
    return {**ticks(draft), "read": []}


def test_a_note_without_needs_is_settled_by_a_choice_that_stays_on_record(owner: Client) -> None:
    draft = drafted(NOTE)
    send = reverse("quote-send", args=[draft.pk])
    assert f"“{NOTE}”" in text(owner.get(send))
    refused = text(owner.post(send, unread(draft)))
    assert f"Not sent. Add the needs, or check the box that there is none in “{NOTE}”." in refused
    assert "no guest has this as an allergy or diet (gluten (celiac) for 2 guests" in refused
    assert "Not sent." in text(owner.post(send, {**unread(draft), "read": ["ok"]}))
    with pytest.raises(NoteUnsettled):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, read=())
    owner.post(send, ticks(draft))
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.SENT
    entry = AuditEntry.objects.get(event="note_read")
    assert (entry.note, entry.params["named"]) == (NOTE, ["gluten", "peanuts", "fish"])
    page = text(owner.get(reverse("quote", args=[draft.pk])))
    assert "allergy note read" in page
    assert "words in it: gluten (celiac), peanuts and fish" in page


def test_what_is_settled_is_not_lost_when_something_else_is_not_ticked(owner: Client) -> None:
    draft = drafted(NOTE)
    page = owner.post(reverse("quote-send", args=[draft.pk]), {"read": ticks(draft)["read"]})
    assert re.search(r'id="read_1"[^>]*\schecked', page.content.decode())


def test_the_draft_offers_the_needs_it_names_and_the_form_has_them_filled_in(owner: Client) -> None:
    draft = drafted(NOTE)
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "gluten (celiac) for 2 guests" in page
    assert "peanuts for 1 guest and fish for 1 guest" in page
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    assert "You entered: “2 coeliac, 1 peanut, 1 fish”" in text(owner.get(edit))
    form = edit_form_of(owner.get(f"{edit}?needs=note"))
    assert set(form.fields["allergies"]) == {"gluten", "peanuts", "fish"}
    owner.post(edit, form.data())
    found = Inquiry.objects.get(pk=draft.inquiry_id)
    assert found.need_counts == {"gluten": 2, "peanuts": 1, "fish": 1}
    assert "Every allergy and diet in the note" in text(owner.get(reverse("quote-send", args=[draft.pk])))


def test_without_a_note_nothing_is_asked(owner: Client) -> None:
    draft = drafted("", "tree-nuts")
    assert quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, read=()).status == QuoteStatus.SENT


@pytest.mark.parametrize(
    ("note", "needs"),
    [
        ("Nuts, please be careful.", ("tree-nuts",)),
        ("One carries a pen.", ("milk",)),
        ("zwei vertragen keinen Kn\u00f6terich", ("peanuts", "other:kn%C3%B6terich")),
    ],
)
def test_a_note_is_read_to_its_end_whatever_it_says_and_whatever_is_ticked(
    owner: Client, note: str, needs: tuple[str, ...]
) -> None:
    draft = drafted(note, *needs)
    refused = text(owner.post(reverse("quote-send", args=[draft.pk]), unread(draft)))
    assert f"Not sent. Read \u201c{note}\u201d, and check the box that every need in it is in the list." in refused
    with pytest.raises(NoteUnsettled):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, read=())
    assert quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).status == QuoteStatus.SENT
    assert AuditEntry.objects.get(event="note_read").note == note


@pytest.mark.parametrize("change", [{"allergy_note": "One carries two pens."}, {"need_counts": {"milk": 3}}])
def test_another_note_or_other_needs_are_asked_anew(owner: Client, change: dict[str, Any]) -> None:
    draft = drafted("One carries a pen.", "milk")
    read = words_read(draft.pk)
    Inquiry.objects.filter(pk=draft.inquiry_id).update(**change)
    with pytest.raises(NoteUnsettled):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, read=read)


def test_needs_in_other_languages_are_named_beside_those_ticked(owner: Client) -> None:
    draft = drafted("2 Z\u00f6liakie, 1 allergie au lait, 1 hazlenut", "peanuts")
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "Not among the needs: gluten (celiac) for 2 guests, milk for 1 guest and hazelnuts for 1 guest." in page
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    assert "Others in the note may not be recognized" in text(owner.get(f"{edit}?needs=note"))


def test_a_need_that_only_the_note_names_is_asked_beside_those_ticked(owner: Client) -> None:
    draft = drafted("1 coeliac", "wheat")
    page = owner.get(reverse("quote-send", args=[draft.pk])).content.decode()
    assert re.search(r"Not among the needs: gluten .celiac. for 1 guest", page)


@pytest.mark.parametrize(
    ("note", "words"),
    [
        ("Two more peanut", "You entered 1; the note says 2 more: 3. Enter how many they are in all."),
        ("2 peanut", "You entered 1; the note says 2. Enter how many they are in all."),
        ("2 peanut at noon, 3 peanut at night", "You entered 1; the note may mean 3. How many guests?"),
    ],
)
def test_a_number_that_was_entered_stays_beside_the_words(owner: Client, note: str, words: str) -> None:
    draft = drafted(note, "peanuts")
    Inquiry.objects.filter(pk=draft.inquiry_id).update(need_counts={"peanuts": 1})
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    page = owner.get(f"{edit}?needs=note")
    assert words in text(page)
    form = edit_form_of(page)
    owner.post(edit, form.data())
    assert Inquiry.objects.get(pk=draft.inquiry_id).need_counts == {"peanuts": 1}
