"""A need that no list has: its own line of the form, on the quote and everywhere else, and nothing is free of it."""

import re
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.pantry.models import LISTED, Ingredient
from orders.approvals.links import link_create
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.documents.content import content_read
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.production.demand import orders_between
from orders.production.labels import label_file
from orders.quotes.draft.message_answers import check_answer, list_mark
from orders.quotes.draft.message_needs import messages_open
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.models import AuditEntry
from orders.records.need_errors import NeedsNotInList, TextUnread
from orders.records.states import QuoteStatus
from tests.factories import BY, EVENT, NOW, draft_make, kitchen_make, pdf_stored, sent_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.builders import order_make
from tests.integration.orders.production.test_label_data import rows
from tests.integration.orders.quotes.send.ticks import ticks
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
KIWI = "other:kiwi"
CAKE = "Walnut sponge cake, two tiers"
ASK = "We have not checked our desserts for kiwi; ask us."
FREE = re.compile(r"free of (?:it|kiwi)", re.I)


@pytest.fixture(autouse=True)
def kitchen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make(phone="555 0100")


def drafted(**facts: Any) -> Quote:
    return draft_make(table=table_make(), **{"allergies": (), **facts})


def edited(owner: Client, draft: Quote, **changes: Any) -> str:
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    return text(owner.post(edit, edit_form_of(owner.get(edit)).data(**changes), follow=True))


def needs(draft: Quote) -> dict[str, int | None]:
    inquiry = Inquiry.objects.get(pk=draft.inquiry_id)
    return {code: inquiry.need_counts.get(code) for code in inquiry.allergies}


def test_a_line_of_the_form_is_a_need_with_its_guests(owner: Client) -> None:
    draft = drafted()
    page = edited(owner, draft, **{"other-1": "Kiwi", "other-guests-1": "2", "other-3": "corn"})
    assert needs(draft) == {KIWI: 2, "other:corn": None}
    assert "2 guests: kiwi; corn" in page
    form = edit_form_of(owner.get(reverse("inquiry-edit", args=[draft.inquiry_id])))
    assert set(form.fields["allergies"]) == {KIWI, "other:corn"}
    assert form.fields[f"guests-{KIWI}"] == ["2"]
    edited(owner, draft, allergies=["other:corn"], **{f"guests-{KIWI}": ""})
    assert needs(draft) == {"other:corn": None}


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ({"other-1": "peanuts", "other-guests-1": "2"}, {"peanuts": 2}),
        ({"other-1": "Celery"}, {"celery": None}),
        ({"other-1": "kiwi", "other-2": "Kiwis", "other-guests-2": "3"}, {KIWI: 3}),
        ({"other-1": "<script>alert(1)</script>"}, {"other:%3Cscript%3Ealert%281%29%3C%2Fscript": None}),
        ({"other-1": "kiwi", "allergies": ["milk"]}, {"milk": None, KIWI: None}),
        ({"other-1": "peanut oil", "allergies": ["peanuts"]}, {"peanuts": None, "other:peanut%20oil": None}),
    ],
)
def test_what_is_entered_is_stored_once(owner: Client, lines: dict[str, Any], found: dict[str, int | None]) -> None:
    draft = drafted()
    page = edited(owner, draft, **lines)
    assert "<script>alert" not in page
    if "script" in str(lines):
        assert "may be several" in page  # a slash may part two foods
        return
    assert needs(draft) == found


@pytest.mark.parametrize(
    ("lines", "refusal"),
    [
        ({"other-1": "Shellfish"}, "“Shellfish” may be crustaceans, molluscs or both. Enter each on its own line"),
        ({"other-1": "kiwi, corn"}, "Enter one on each line: “kiwi, corn” may be several."),
        ({"other-1": "kiwi and corn"}, "Enter one on each line"),
        ({"other-1": "🥝"}, "Enter it in letters, such as kiwi."),
        ({"other-guests-2": "3"}, "Enter what these guests cannot eat, or clear the number."),
        ({"other-1": "peanut oil"}, "“peanut oil” names peanuts. Check that in the list"),
        ({"other-1": "halal"}, "“halal” is a way to eat: write it under the allergy notes."),
        (
            {"other-1": "kiwi", "other-guests-1": "2", "other-2": "kiwi", "other-guests-2": "3"},
            "“kiwi” is there already",
        ),
        ({"other-1": "k" * 81}, "80"),
        ({"other-1": "kiwi", "asked_none": "on"}, "named no allergies or diets, and kiwi under them"),
    ],
)
def test_what_cannot_be_stored_so_is_refused_with_what_was_entered(
    owner: Client, lines: dict[str, Any], refusal: str
) -> None:
    draft = drafted()
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    page = owner.post(edit, edit_form_of(owner.get(edit)).data(**lines))
    assert refusal in text(page)
    assert needs(draft) == {}
    assert all(f'value="{value}"' in page.content.decode() for name, value in lines.items() if name != "asked_none")


def test_nobody_sends_a_code_that_no_line_makes(owner: Client) -> None:
    draft = drafted()
    assert "Choose allergens from the list" in edited(owner, draft, allergies=["other:Kiwi|x"])
    assert needs(draft) == {}


def test_the_review_asks_for_it_by_name_and_the_quote_never_says_free(owner: Client) -> None:
    draft = drafted(allergies=(KIWI,), need_counts={KIWI: 2})
    send = reverse("quote-send", args=[draft.pk])
    page = text(owner.get(send))
    assert "The customer knows that nobody checked these for kiwi:" in page
    with pytest.raises(TextUnread):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=())
    owner.post(send, ticks(draft))
    sent = pdf_stored(Quote.objects.get(pk=draft.pk))
    assert sent.status == QuoteStatus.SENT
    assert AuditEntry.objects.get(event="other_need_read").params["named"] == [KIWI]
    (need,) = content_read(sent.content).needs or ()
    assert (need.need, need.guests, {dish.serves for dish in need.dishes}) == (KIWI, 2, {"unchecked"})
    pages = [
        text(owner.get(reverse("quote", args=[sent.pk]))),
        text(owner.get(reverse("inquiry", args=[sent.inquiry_id]))),
    ]
    client = Client()
    client.get(reverse("link-login", args=[link_create(quote_id=sent.pk, at=NOW)]))
    customer = text(client.get(reverse("quote-page", args=[sent.pk])))
    assert "2 guests cannot have kiwi." in customer
    assert ASK in customer
    for row in list(Outbox.objects.order_by("pk")):
        outbox_run(row_id=row.pk, at=NOW)
    mails = [str(one.body) for one in mail.outbox if ASK in str(one.body)]
    assert mails
    for shown in (*pages, customer, *mails):
        assert not FREE.search(shown)


def test_what_names_it_contains_it(owner: Client) -> None:
    Ingredient.objects.filter(code="walnut").update(name="Kiwi puree")
    catalog_changed()
    sent = sent_make(allergies=(KIWI,), table=table_make())
    (need,) = content_read(sent.content).needs or ()
    assert {dish.name: dish.serves for dish in need.dishes}[CAKE] == "contains"
    page = text(owner.get(reverse("quote", args=[sent.pk])))
    assert f"{CAKE} (contains kiwi (Kiwi puree))" in page
    assert not FREE.search(page)


def test_a_labels_list_of_ingredients_counts() -> None:
    Ingredient.objects.filter(code="walnut").update(named_only={LISTED: "sugar, kiwi, pectin"})
    catalog_changed()
    (need,) = content_read(sent_make(allergies=(KIWI,), table=table_make()).content).needs or ()
    assert {dish.name: dish.serves for dish in need.dishes}[CAKE] == "contains"


def test_it_stands_on_the_order_its_sheets_and_its_labels() -> None:
    order = order_make(allergies=(KIWI,), need_counts={KIWI: 1})
    owner = signed_in()
    days = f"?first={EVENT.date()}&last={EVENT.date()}"
    for address in (
        reverse("order", args=[order.pk]),
        *(reverse(name) + days for name in ("sheet-handover", "sheet-prep", "sheet-recipes")),
    ):
        page = text(owner.get(address))
        assert re.search(r"kiwi", page), address
        assert not FREE.search(page)
        assert not re.search(r"[Kk]eep it free of kiwi", page)
    assert label_file(orders_between(order.window_start.date(), order.window_start.date()))
    assert rows()[CAKE]["Not for guests"] == "1 guest: kiwi (not checked yet)"


def test_a_revision_and_a_need_of_later_carry_it() -> None:
    sent = sent_make(allergies=(KIWI,), need_counts={KIWI: 1}, table=table_make())
    draft = quote_revise(quote_id=sent.pk, by=BY, at=NOW)
    again = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    assert [need.need for need in content_read(again.content).needs or ()] == [KIWI]
    Inquiry.objects.filter(pk=sent.inquiry_id).update(allergies=[KIWI, "other:corn"])
    page = text(signed_in().get(reverse("quote", args=[again.pk])))
    assert "Some guests cannot have corn." in page
    assert "It does not answer what guests cannot eat, so it cannot be approved." in page


def test_a_need_of_an_order_goes_by_a_tick_that_names_it(owner: Client) -> None:
    order = order_make(allergies=(KIWI,), need_counts={KIWI: 1})
    quote = Order.objects.get(pk=order.pk).quote
    page = edited(owner, quote, allergies=[], **{f"guests-{KIWI}": ""})
    assert "No guest has this any more: kiwi." in page
    assert needs(quote) == {KIWI: 1}


def test_a_note_that_names_it_offers_the_line_with_its_guests(owner: Client) -> None:
    draft = drafted(allergy_note="2 kiwi, 1 peanut")
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    assert "kiwi for 2 guests" in text(owner.get(edit))
    form = edit_form_of(owner.get(f"{edit}?needs=note"))
    assert set(form.fields["allergies"]) == {KIWI, "peanuts"}
    owner.post(edit, form.data())
    assert needs(draft) == {KIWI: 2, "peanuts": 1}


def test_a_message_that_names_it_is_open_until_the_list_has_it(owner: Client) -> None:
    sent = sent_make(allergies=(), table=table_make())
    quote_ask_change(quote_id=sent.pk, text="My son is allergic to kiwi.", evidence=ApprovalEvidence(), at=NOW)
    inquiry = Inquiry.objects.get(pk=sent.inquiry_id)
    (one,) = messages_open([inquiry])[inquiry.pk]
    assert one.missing == {KIWI: 1}
    with pytest.raises(NeedsNotInList):
        check_answer(one, inquiry, recorded=True, no_guest=False)
    form = edit_form_of(owner.get(f"{reverse('inquiry-edit', args=[inquiry.pk])}?needs=note"))
    assert form.fields["allergies"] == [KIWI]
    owner.post(reverse("inquiry-edit", args=[inquiry.pk]), form.data())
    inquiry.refresh_from_db()
    (one,) = messages_open([inquiry])[inquiry.pk]
    check_answer(one, inquiry, recorded=True, no_guest=False, compared=list_mark(inquiry))


def test_a_message_that_names_it_beside_a_need_of_the_list_stays_open_for_it() -> None:
    sent = sent_make(allergies=("peanuts",), need_counts={"peanuts": 1}, table=table_make())
    words = "Our nephew is allergic to peanuts and tamarind."
    quote_ask_change(quote_id=sent.pk, text=words, evidence=ApprovalEvidence(), at=NOW)
    inquiry = Inquiry.objects.get(pk=sent.inquiry_id)
    (one,) = messages_open([inquiry])[inquiry.pk]
    assert one.missing == {"other:tamarind": None}


def test_a_copy_offers_it_as_every_need_of_last_time(owner: Client) -> None:
    draft = drafted(allergies=(KIWI,), need_counts={KIWI: 1})
    page = text(owner.get(reverse("inquiry-copy", args=[draft.inquiry_id])))
    assert "Last time: 1 guest: kiwi" in page
