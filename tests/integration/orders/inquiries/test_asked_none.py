"""Whether the customer was asked what guests do not eat: an inquiry without needs does not say it by itself."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.kitchen.models import Kitchen
from orders.approvals.links import link_create
from orders.documents.content import canonical, content_read, sha256_of
from orders.documents.erasing import content_erased as erased
from orders.inquiries.models import Inquiry
from orders.inquiries.services import inquiry_change
from orders.orders.models import Order
from orders.quotes.models import PERSONAL, Quote
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests import factories
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.builders import order_make
from tests.integration.orders.private_link import entered
from tests.integration.orders.quotes.send.ticks import ticks

pytestmark = pytest.mark.django_db
WARNING = "Nobody has asked the customer about allergies yet."
TELL_US = "We have not asked you yet. If any guest has one, tell us before anything is made"
NONE_NAMED = "You told us of no allergies or diets among your guests."


def inquiry(**facts: Any) -> Inquiry:
    return factories.inquiry_make(**{"allergies": (), **facts})


def edited(owner: Client, found: Inquiry, **changes: Any) -> Any:
    address = reverse("inquiry-edit", args=[found.pk])
    return owner.post(address, {**edit_form_of(owner.get(address)).data(), **changes})


def settles(page: Any) -> str:
    """Return the mark with which somebody says that the note of a page names none."""
    return str(re.findall(r'name="note_settled" value="([^"]+)"', page.content.decode())[0])


class TestTheAnswer:
    def test_nobody_asked_unless_it_is_noted_by_whom_and_when(self, owner: Client) -> None:
        found = inquiry()
        page = reverse("inquiry", args=[found.pk])
        assert "not asked yet" in text(owner.get(page))
        assert edited(owner, found, asked_none="on").status_code == 302
        found.refresh_from_db()
        assert (found.asked_none, found.not_asked) == (True, False)
        assert found.asked_none_at == factories.NOW
        assert "asked, none named (noted by" in text(owner.get(page))
        assert "not asked yet" not in text(owner.get(page))

    def test_who_noted_it_first_stays(self, small_kitchen: Kitchen) -> None:
        found = inquiry(asked_none=True)
        data = factories.inquiry_data(allergies=(), asked_none=True, note="By phone.")
        inquiry_change(inquiry_id=found.pk, data=data, by="tomas", at=factories.NOW + timedelta(days=1))
        found.refresh_from_db()
        assert (found.asked_none_at, found.asked_none_by) == (factories.NOW, factories.BY)

    @pytest.mark.parametrize(
        "note",
        [
            *("My niece carries an EpiPen.", "pregnant bride", "G6PD cousin", "PKU child", "FPIES baby"),
            *("She reacts to something", "schwangere Braut", "mari\u00e9e enceinte", "My aunt breastfeeds", "Crohn's"),
            *("no eggz", "bez orzech\u00f3w dla Oli", "\u30ca\u30c3\u30c4\u30a2\u30ec\u30eb\u30ae\u30fc"),
            *("\u062d\u0633\u0627\u0633\u064a\u0629 \u0627\u0644\u0641\u0648\u0644", "Asked by phone."),
        ],
    )
    def test_beside_any_note_it_is_refused_until_somebody_says_that_it_names_none(
        self, owner: Client, note: str
    ) -> None:
        found = inquiry()
        page = edited(owner, found, asked_none="on", allergy_note=note)
        assert "named no allergies or diets, and there are allergy notes. Clear the box or the notes" in text(page)
        assert "says nothing about what a guest of this event cannot or does not eat" in text(page)
        found.refresh_from_db()
        assert not found.asked_none
        other = {"note_settled": settles(page), "allergy_note": f"{note} And Bo."}
        assert edited(owner, found, asked_none="on", **other).status_code == 200, "it was said of another note"

    def test_it_is_said_once_of_a_note_and_recorded(self, owner: Client) -> None:
        found, entered = inquiry(), {"asked_none": "on", "allergy_note": "A cousin has a cold."}
        mark = settles(edited(owner, found, **entered))
        assert edited(owner, found, note_settled=mark, **entered).status_code == 302
        entry = AuditEntry.objects.get(event="note_settled")
        assert (entry.note, entry.by) == ("A cousin has a cold.", factories.BY)
        assert edited(owner, found, title="Supper").status_code == 302
        found.refresh_from_db()
        assert found.asked_none
        assert edited(owner, found, allergy_note="Two cousins have a cold.").status_code == 200

    def test_a_pair_of_which_nobody_said_it_is_asked_about_when_it_is_edited(self, owner: Client) -> None:
        found = inquiry(asked_none=True, allergy_note="A cousin has a cold.")
        assert edited(owner, found, title="Supper").status_code == 200

    @pytest.mark.parametrize(
        "note",
        [
            *("Asked by phone.", "No known food allergies.", "No allergies or diets.", "no dietary requirements"),
            *("Nobody is allergic.", "Keine Allergien, keine Di\u00e4ten", "Aucune allergie", "A cousin has a cold."),
            *("Asked Ida about allergies on Monday: none", "Nobody has an allergy"),
        ],
    )
    def test_beside_a_note_that_names_none_either_it_is_saved_once_somebody_says_so(
        self, owner: Client, note: str
    ) -> None:
        found, entered = inquiry(), {"asked_none": "on", "allergy_note": note}
        mark = settles(edited(owner, found, **entered))
        assert edited(owner, found, note_settled=mark, **entered).status_code == 302
        found.refresh_from_db()
        assert found.asked_none

    @pytest.mark.parametrize(
        ("note", "need"),
        [
            ("One guest gets hives from kiwi", "kiwi"),
            ("Bride comes out in a rash from berries", "berries"),
            ("no strawberries pls, throat closes", "strawberries"),
            ("mum can't do nightshades or corn", "corn"),
        ],
    )
    def test_foods_that_no_list_has_are_named(self, owner: Client, note: str, need: str) -> None:
        answer = text(edited(owner, inquiry(), asked_none="on", allergy_note=note))
        assert re.search(rf"the allergy notes name [^.]*{need}", answer)

    @pytest.mark.parametrize("note", ["Her aunt cannot have walnuts", "Peanut for my niece, two of her boys too"])
    def test_beside_a_note_that_names_some_it_is_refused(self, owner: Client, note: str) -> None:
        found = inquiry()
        answer = edited(owner, found, asked_none="on", allergy_note=note)
        assert "and the allergy notes name" in text(answer)
        found.refresh_from_db()
        assert (found.asked_none, found.allergy_note) == (False, "")

    def test_both_at_once_are_refused_at_the_field_and_nothing_is_lost(self, owner: Client) -> None:
        found = inquiry()
        page = edited(owner, found, asked_none="on", allergies=["milk"], allergy_note="Asked by phone.")
        assert page.status_code == 200
        words = "named no allergies or diets, and milk under them. Clear one of the two."
        assert words in text(page)
        form = edit_form_of(page)
        assert form.fields["asked_none"]
        assert form.fields["allergies"] == ["milk"]
        assert "Asked by phone." in page.content.decode()
        assert not Inquiry.objects.get(pk=found.pk).allergies

    def test_a_need_named_later_clears_it(self, owner: Client) -> None:
        found = inquiry(asked_none=True)
        address = reverse("inquiry-edit", args=[found.pk])
        form = edit_form_of(owner.get(address))
        page = owner.post(address, {**form.data(), "allergies": ["milk"]}, follow=True)
        assert "the note that none were named is gone" in text(page)
        found.refresh_from_db()
        assert (found.allergies, found.asked_none_at, found.asked_none_by) == (["milk"], None, "")

    def test_the_service_lets_the_need_win(self, small_kitchen: Kitchen) -> None:
        found = inquiry(asked_none=True, allergies=("milk",))
        assert (found.asked_none, found.asked_none_at) == (False, None)

    def test_words_alone_are_an_answer_too(self, small_kitchen: Kitchen) -> None:
        assert not inquiry(allergy_note="My aunt is coeliac.").not_asked

    def test_a_copy_is_asked_anew(self, owner: Client) -> None:
        found = inquiry(asked_none=True)
        assert (
            "checked"
            not in owner.get(reverse("inquiry-copy", args=[found.pk])).context["form"]["asked_none"].as_widget()
        )


class TestBeforeSending:
    def test_nothing_goes_until_it_is_ticked_and_the_tick_stays_on_record(self, owner: Client) -> None:
        draft = factories.draft_make(allergies=())
        address = reverse("quote-send", args=[draft.pk])
        ticked = ticks(draft)
        del ticked["not_asked"]
        page = text(owner.post(address, ticked))
        assert "Not sent. Ask the customer and record the answer , or check the box that they were not asked." in page
        assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.DRAFT
        owner.post(address, ticks(draft))
        entry = AuditEntry.objects.get(event="send_not_asked")
        assert (entry.document_pk, entry.by) == (draft.pk, factories.BY)
        assert "sent although the customer was not asked about allergies" in text(
            owner.get(reverse("quote", args=[draft.pk]))
        )

    @pytest.mark.parametrize("facts", [{"asked_none": True}, {"allergies": ("milk",)}, {"allergy_note": "No milk."}])
    def test_no_tick_is_asked_where_there_is_an_answer(self, owner: Client, facts: dict[str, Any]) -> None:
        draft = factories.draft_make(**{"allergies": (), **facts})
        assert 'name="not_asked"' not in owner.get(reverse("quote-send", args=[draft.pk])).content.decode()

    def test_the_review_warns(self, owner: Client) -> None:
        draft = factories.draft_make(allergies=())
        address = reverse("quote-send", args=[draft.pk])
        assert WARNING in text(owner.get(address))
        owner.post(address, ticks(draft))
        sent = Quote.objects.get(pk=draft.pk)
        assert sent.status == QuoteStatus.SENT
        assert "named_none" not in sent.content

    def test_it_stands_there_too_when_something_stops_it(self, owner: Client) -> None:
        draft = factories.draft_make(allergies=(), customer=factories.customer_data(email=""))
        assert WARNING in text(owner.get(reverse("quote-send", args=[draft.pk])))

    @pytest.mark.parametrize("facts", [{"asked_none": True}, {"allergies": ("milk",)}, {"allergy_note": "No milk."}])
    def test_it_does_not_where_there_is_an_answer(self, owner: Client, facts: dict[str, Any]) -> None:
        draft = factories.draft_make(**{"allergies": (), **facts})
        assert WARNING not in text(owner.get(reverse("quote-send", args=[draft.pk])))


class TestTheQuote:
    @pytest.mark.parametrize(
        ("facts", "asks"), [({}, True), ({"asked_none": True}, False), ({"allergies": ["milk"]}, False)]
    )
    def test_it_asks_the_customer_where_nobody_did(self, owner: Client, facts: dict[str, Any], asks: bool) -> None:
        sent = factories.sent_make(**{"allergies": (), **facts})
        assert content_read(sent.content).not_asked is asks
        assert (TELL_US in text(owner.get(reverse("quote", args=[sent.pk])))) is asks
        customer = Client()
        customer.get(reverse("link-login", args=[link_create(quote_id=sent.pk, at=timezone.now())]))
        page = customer.get(reverse("quote-page", args=[sent.pk]))
        assert (TELL_US in text(page)) is asks

    @pytest.mark.parametrize(("over", "since"), [("delivered", "delivered_at"), ("canceled", "canceled_at")])
    def test_nothing_is_asked_of_what_is_delivered_or_called_off(self, over: str, since: str) -> None:
        order = order_make(allergies=())
        page = reverse("quote-page", args=[order.quote_id])
        customer = entered(Client(), order.quote)
        assert TELL_US in text(customer.get(page))
        Order.objects.update(**{"status": over, since: factories.NOW})
        assert TELL_US not in text(customer.get(page))

    def test_it_tells_the_customer_what_they_said(self, owner: Client) -> None:
        sent = factories.sent_make(allergies=(), asked_none=True)
        content = content_read(sent.content)
        assert content.named_none
        assert canonical(content) == sent.content
        assert NONE_NAMED in text(owner.get(reverse("quote", args=[sent.pk])))

    @pytest.mark.parametrize("facts", [{}, {"asked_none": True, "allergy_note": "A cousin has a cold."}])
    def test_it_says_nothing_where_nobody_asked_or_there_are_words(self, owner: Client, facts: dict[str, Any]) -> None:
        factories.draft_make(**{"allergies": (), **facts})
        draft = Quote.objects.get()
        assert NONE_NAMED not in text(owner.get(reverse("quote-send", args=[draft.pk])))

    def test_older_contents_keep_their_hash(self, small_kitchen: Kitchen) -> None:
        sent = factories.sent_make(allergies=())
        assert sha256_of(canonical(content_read(sent.content))) == sent.content_sha256

    def test_it_is_erased_with_the_person(self, small_kitchen: Kitchen) -> None:
        sent = factories.sent_make(allergies=(), asked_none=True)
        assert not content_read(erased(sent.content, PERSONAL)).named_none


class TestInTheKitchen:
    @pytest.mark.parametrize(("asked", "words"), [(True, "asked, none named"), (False, "not asked about allergies")])
    def test_the_sheets_say_which(self, asked: bool, words: str, monkeypatch: pytest.MonkeyPatch) -> None:
        order = order_make(allergies=(), asked_none=asked)
        kitchen = signed_in("kitchen")
        day = {"first": order.window_start.date().isoformat(), "last": order.window_start.date().isoformat()}
        assert f"Guests: {words}." in text(kitchen.get(reverse("sheet-handover"), day))
        for sheet in ("sheet-prep", "sheet-recipes"):
            assert f"{order.number}: {words}" in text(kitchen.get(reverse(sheet), day))

    @pytest.mark.parametrize(("asked", "words"), [(True, "asked, none named (noted by"), (False, "not asked yet")])
    def test_the_order_says_which(self, asked: bool, words: str) -> None:
        order = order_make(allergies=(), asked_none=asked)
        assert words in text(signed_in("kitchen").get(reverse("order", args=[order.pk])))


class TestTheNewForm:
    def test_what_the_note_names_is_offered_at_once_and_nothing_is_lost(self, owner: Client) -> None:
        address = reverse("inquiry-new")
        entered = {"name": "Ida", "title": "Supper", "day": "2027-01-20", "start": "16:00", "end": "17:00"}
        entered |= {"hand_over": "pickup", "kind": "private"}
        note = "My aunt is coeliac, 2 have a nut allergy"
        answer = owner.post(address, {**entered, "allergy_note": note})
        saved = Inquiry.objects.get(title="Supper")
        assert saved.allergy_note == note
        edit = reverse("inquiry-edit", args=[saved.pk])
        assert answer["Location"] == f"{edit}?needs=note#id_allergies"
        page = owner.get(f"{edit}?needs=note")
        assert (
            ": gluten (celiac) for 1 guest and tree nuts for 2 guests. Others in the note may not be recognized"
            in text(page)
        )
        offered = edit_form_of(page)
        assert set(offered.fields["allergies"]) == {"gluten", "tree-nuts"}
        owner.post(edit, offered.data())
        saved.refresh_from_db()
        assert (set(saved.allergies), saved.need_counts) == ({"gluten", "tree-nuts"}, {"gluten": 1, "tree-nuts": 2})

    def test_a_note_that_names_nothing_known_goes_on_to_the_table(self, owner: Client) -> None:
        address = reverse("inquiry-new")
        entered = {"name": "Ida", "title": "Supper", "day": "2027-01-20", "start": "16:00", "end": "17:00"}
        entered |= {"hand_over": "pickup", "kind": "private"}
        answer = owner.post(address, {**entered, "allergy_note": "One carries a pen."})
        assert answer["Location"] == reverse("inquiry", args=[Inquiry.objects.get(title="Supper").pk])
