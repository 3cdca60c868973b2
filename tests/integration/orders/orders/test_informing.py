"""Allergens that are new after an approval: the customer is informed by mail or by phone, and that is on record."""

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.pantry.models import Ingredient
from orders.approvals.models import Message
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries.models import Customer, Inquiry
from orders.orders.models import Order
from orders.records.models import AuditEntry
from tests.factories import EVENT, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
OPEN = "The customer has not been told"
CHANGE = "Walnut sponge cake, two tiers: now contains peanuts."


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT)
    kitchen_make(phone="555 0100")
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def order() -> Order:
    made = order_make()
    holds("walnuts", "peanuts")
    return made


def holds(*codes: str) -> None:
    Ingredient.objects.filter(code="walnut").update(allergens=list(codes))
    catalog_changed()


def page_of(client: Client, order: Order) -> str:
    return text(client.get(reverse("order", args=[order.pk])))


def inform(client: Client, order: Order, way: str, **more: str) -> str:
    answer = client.get(reverse("order", args=[order.pk]))
    data = {"way": way, "seen": answer.context["page"].informing.mark, **more}
    return text(client.post(reverse("order-inform", args=[order.pk]), data, follow=True))


def test_an_order_of_which_nothing_changed_asks_nobody_to_tell_anybody() -> None:
    made = order_make()
    client = signed_in()
    assert OPEN not in page_of(client, made)
    assert "Not told to the customer yet" not in text(client.get(reverse("day")))


def test_it_stands_open_on_the_order_the_day_and_the_hand_over_until_it_is_on_record(order: Order) -> None:
    client = signed_in()
    sheet = f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"
    page = page_of(client, order)
    assert OPEN in page
    assert "Call Ida Fenwick: 555 0188." in page
    assert "Not told to the customer yet" in text(client.get(reverse("day")))
    assert "Tell the customer" in text(client.get(sheet))
    inform(client, order, "phone", note="Ida herself")
    page = page_of(client, order)
    assert OPEN not in page
    assert "The customer was informed on" in page
    assert "by phone, by" in page
    assert "“Ida herself”" in page
    for address in (reverse("day"), sheet):
        shown = text(client.get(address))
        assert "Customer informed on" in shown
        assert "Not told to the customer yet" not in shown
        assert "Tell the customer" not in shown
    (entry,) = AuditEntry.objects.filter(document="order", event="allergens_informed")
    assert [code for _, code, _ in entry.params["parts"]] == ["peanuts"]


def test_the_mail_names_dessert_and_allergen_and_the_number_to_call(order: Order) -> None:
    client = signed_in()
    assert "The e-mail is on its way to the customer." in inform(client, order, "mail")
    assert "The e-mail to the customer is on its way, asked for" in page_of(client, order)
    assert "The e-mail to the customer is on its way" in text(client.get(reverse("day")))
    row = Outbox.objects.get(payload__mail="allergens_changed")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    message = mail.outbox[-1]
    assert message.to == ["ida@fenwick.example"]
    assert message.subject.startswith("Allergies and allergens:")
    assert order.number in message.subject
    for part in (CHANGE, "Call us on 555 0100"):
        assert part in str(message.body)
    page = page_of(client, order)
    assert "The customer was informed on" in page
    assert "by e-mail, by" in page


def test_a_mail_that_could_not_be_sent_informs_nobody(order: Order) -> None:
    client = signed_in()
    inform(client, order, "mail")
    Outbox.objects.filter(payload__mail="allergens_changed").update(status=Outbox.Status.FAILED)
    page = page_of(client, order)
    assert OPEN in page
    assert "could not be sent: call them" in page


def test_another_change_is_open_again_and_the_same_one_is_not(order: Order) -> None:
    client = signed_in()
    inform(client, order, "phone", note="Ida")
    catalog_changed()
    assert OPEN not in page_of(client, order)
    holds("walnuts", "peanuts", "sesame")
    assert f"{OPEN} all of it" in page_of(client, order)


def test_without_an_address_there_is_only_the_phone(order: Order) -> None:
    client = signed_in()
    Customer.objects.filter(pk=order.customer_id).update(email="")
    page = page_of(client, order)
    assert "Send an e-mail about it" not in page
    assert "There is no e-mail address to write to." in page
    assert "has no valid e-mail address" in inform(client, order, "mail")
    assert not AuditEntry.objects.filter(event="allergens_informed").exists()
    inform(client, order, "phone", note="Reached her at work")
    assert OPEN not in page_of(client, order)


def test_a_call_needs_to_say_whom_it_reached_and_what_was_read(order: Order) -> None:
    client = signed_in("kitchen")
    assert "Enter whom you reached" in inform(client, order, "phone")
    data = {"way": "phone", "seen": "of an older page", "note": "Ida, at noon"}
    page = client.post(reverse("order-inform", args=[order.pk]), data).content.decode()
    assert "More changed since this page was opened." in page
    assert "Ida, at noon" in page, "nothing that was typed is lost"
    for odd in ({}, {"way": "pigeon"}, {"way": "phone", "note": "\x00"}, {"way": "phone", "note": "x" * 400}):
        assert client.post(reverse("order-inform", args=[order.pk]), odd).status_code == 422
    assert not AuditEntry.objects.filter(event="allergens_informed").exists()
    assert signed_in("bookkeeper").post(reverse("order-inform", args=[order.pk]), data).status_code == 403


def test_pressing_twice_sends_one_mail(order: Order) -> None:
    client = signed_in()
    inform(client, order, "mail")
    assert "This was recorded already." in inform(client, order, "mail")
    assert Outbox.objects.filter(payload__mail="allergens_changed").count() == 1


def need_recorded(order: Order, need: str, guests: int = 2) -> None:
    Inquiry.objects.filter(pk=order.quote.inquiry_id).update(allergies=[need], need_counts={need: guests})


def answered(**facts: str | None) -> None:
    """Answer of the rice glass's saffron what some guests do not eat; None takes an answer away."""
    row = Ingredient.objects.get(code="saffron")
    answers = {**row.allergen_answers, **{code.replace("_", "-"): answer for code, answer in facts.items()}}
    row.allergen_answers = {code: answer for code, answer in answers.items() if answer is not None}
    row.save()
    catalog_changed()


@pytest.mark.parametrize(("code", "words"), [("alcohol", "alcohol"), ("gelatin", "gelatin")])
def test_alcohol_and_gelatin_are_reported_as_allergens_are_on_the_order_and_in_its_rows(code: str, words: str) -> None:
    made = order_make()
    answered(**{code: "contains"})
    client = signed_in()
    page = page_of(client, made)
    assert f"Saffron rice cream with quince, glass: now contains {words}." in page
    assert f"Made with {words}. As approved on" in page
    assert OPEN in page


def test_what_is_not_checked_for_alcohol_any_more_serves_no_diet_and_the_customer_hears_of_it() -> None:
    made = order_make()
    answered(alcohol=None, gelatin=None)
    client = signed_in()
    page = page_of(client, made)
    lost = "vegetarian, no gelatin and no alcohol"
    assert f"Saffron rice cream with quince, glass: no longer known to be suitable: {lost}." in page
    assert f"Not known to be suitable: {lost}." in page
    inform(client, made, "mail")
    assert OPEN not in page_of(client, made)


def test_a_need_recorded_after_the_approval_asks_to_tell_the_customer_too() -> None:
    made, client = order_make(allergies=()), signed_in()
    need_recorded(made, "walnuts")
    page = page_of(client, made)
    assert OPEN in page
    assert "Send an e-mail about it" in page
    assert "Not told to the customer yet" in text(client.get(reverse("day")))
    assert "The e-mail is on its way to the customer." in inform(client, made, "mail")
    row = Outbox.objects.get(payload__mail="allergens_changed")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    body = " ".join(str(mail.outbox[-1].body).split())
    assert "this is new: 2 guests cannot have walnuts. Not for them: Walnut sponge cake, two tiers (contains" in body
    assert OPEN not in page_of(client, made)
    Inquiry.objects.filter(pk=made.quote.inquiry_id).update(allergies=["walnuts", "eggs"])
    page = page_of(client, made)
    assert "The customer has not been told all of it." in page


def test_a_call_about_it_is_on_record_as_well() -> None:
    made, client = order_make(allergies=()), signed_in()
    need_recorded(made, "walnuts")
    inform(client, made, "phone", note="Ida herself")
    assert OPEN not in page_of(client, made)
    (entry,) = AuditEntry.objects.filter(document="order", event="allergens_informed")
    assert entry.params["parts"] == [["", "walnuts", 3]]


def test_the_mail_about_a_change_begins_with_the_guests_need() -> None:
    made, client = order_make(allergies=("peanuts",), need_counts={"peanuts": 1}), signed_in()
    holds("walnuts", "peanuts")
    inform(client, made, "mail")
    row = Outbox.objects.get(payload__mail="allergens_changed")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    body = " ".join(str(mail.outbox[-1].body).split())
    need = body.index("1 guest cannot have peanuts. Not for them: Walnut sponge cake, two tiers (contains peanuts)")
    assert need < body.index(CHANGE)


def test_what_is_checked_for_nothing_any_more_says_so() -> None:
    made, client = order_make(allergies=()), signed_in()
    Ingredient.objects.filter(code="walnut").update(allergens=[], allergen_answers={})
    catalog_changed()
    page = page_of(client, made)
    assert re.search(r"must be checked again for \d\d of the \d\d allergens on the list", page)
    for row in Ingredient.objects.all():
        row.allergens, row.allergen_answers = [], {}
        row.save()
    catalog_changed()
    page = page_of(client, made)
    assert re.search(r"must be checked again for all \d\d allergens on the list", page)


def test_a_need_recorded_since_stands_on_the_list_of_orders_the_day_and_the_inquiry(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made, client = order_make(allergies=()), signed_in()
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT - timedelta(days=30))
    inquiry = reverse("inquiry", args=[made.quote.inquiry_id])
    mark = "Allergies not settled"
    for address in (reverse("orders"), reverse("day")):
        assert mark not in text(client.get(address))
    assert "Not in the quote you sent." not in text(client.get(inquiry))
    need_recorded(made, "walnuts")
    for address in (reverse("orders"), reverse("day")):
        assert mark in text(client.get(address))
    page = text(client.get(inquiry))
    assert "Not in the quote you sent. It was approved: tell the customer." in page
    assert "2 guests cannot have walnuts, which is not in the quote. Not for them: Walnut sponge cake" in page
    inform(client, made, "phone", note="Ida")
    for address in (reverse("orders"), reverse("day")):
        assert mark not in text(client.get(address))


def test_the_inquiry_of_a_quote_that_waits_asks_for_a_revision() -> None:
    sent = sent_make(allergies=())
    Inquiry.objects.filter(pk=sent.inquiry_id).update(allergies=["walnuts"])
    page = text(signed_in().get(reverse("inquiry", args=[sent.inquiry_id])))
    assert "It cannot be approved as it is: create a revision" in page


def edited(client: Client, order: Order, **more: str) -> str:
    address = reverse("inquiry-edit", args=[order.quote.inquiry_id])
    data = edit_form_of(client.get(address)).data()
    data = {name: value for name, value in data.items() if name not in ("allergies", "guests-walnuts")}
    return text(client.post(address, {**data, "guests-walnuts": "", "allergies": [], **more}, follow=True))


def test_a_need_the_customer_knows_of_is_taken_off_by_a_tick_that_names_it_and_they_are_informed() -> None:
    order, client = order_make(allergies=()), signed_in()
    Inquiry.objects.update(allergies=["walnuts"], need_counts={"walnuts": 2})
    inform(client, order, "mail")
    assert "The order counts on walnuts." in edited(client, order)
    assert Inquiry.objects.get().allergies == ["walnuts"]
    edited(client, order, **{"off-walnuts": "on"})
    assert Inquiry.objects.get().allergies == []
    (entry,) = AuditEntry.objects.filter(document="order", event="needs_taken_off")
    assert entry.params == {"needs": {"walnuts": 2}}
    page = page_of(client, order)
    assert "walnuts for 2 guests was taken off on" in page
    assert "the customer was told of it on" in page
    assert "The customer has not been told all of it." in page
    assert "Allergies or diets taken off" in page
    sheet = f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"
    assert "alnuts for 2 guests was taken off on" in text(client.get(sheet))
    inform(client, order, "mail")
    mailed = Outbox.objects.filter(payload__mail="allergens_changed").latest("pk")
    assert "We do not count on walnuts for 2 guests any more." in mailed.payload["words"]
    assert "was taken off on" not in page_of(client, order)
    Inquiry.objects.update(allergies=["walnuts"], need_counts={"walnuts": 2})
    assert OPEN in page_of(client, order)


@pytest.mark.parametrize("action", ["order-start", "order-deliver"])
def test_an_order_goes_on_over_what_is_not_settled_only_by_a_tick_that_names_it(action: str) -> None:
    order, client = order_make(allergies=()), signed_in()
    words = "My aunt cannot eat walnuts."
    quote_ask_change(quote_id=order.quote_id, text=words, evidence=ApprovalEvidence(), at=EVENT)
    holds("walnuts", "peanuts")
    page = client.get(reverse("order", args=[order.pk]))
    mark = page.context["page"].known.mark
    assert "Not settled with the customer." in text(page)
    assert f"wrote, and nobody has answered it: “{words}”" in text(page)
    note = {"note": "as agreed"} if action == "order-deliver" else {}
    for despite in ({}, {"despite": "another"}):
        answer = client.post(reverse(action, args=[order.pk]), {**note, **despite})
        assert answer.status_code == 422
        assert "not settled with the customer. Settle it first" in text(answer)
    assert Order.objects.get().status == "confirmed"
    client.post(reverse(action, args=[order.pk]), {**note, "despite": mark})
    assert Order.objects.get().status != "confirmed"
    entry = AuditEntry.objects.get(document="order", event=action.removeprefix("order-"))
    assert entry.params["messages"]
    assert [code for _, code, _ in entry.params["untold"]] == ["peanuts"]
    page = page_of(client, order)
    assert "A message about allergies was not answered." in page
    assert "The customer did not know of a change of allergens or needs." in page


def test_a_settled_order_asks_for_no_tick() -> None:
    order, client = order_make(allergies=()), signed_in()
    assert "Not settled with the customer." not in page_of(client, order)
    client.post(reverse("order-start", args=[order.pk]))
    assert Order.objects.get().status == "in_production"


def test_a_need_in_the_record_of_a_call_is_asked_about(order: Order) -> None:
    client, note = signed_in(), "Bea Fea; her nephew can't have pistachios"
    inquiry = order.quote.inquiry
    Inquiry.objects.filter(pk=inquiry.pk).update(allergies=["gluten"], need_counts={})
    page = inform(client, order, "phone", note=note)
    assert f"What you entered may name what a guest cannot eat: “{note}”" in page
    assert "No allergy or diet in it is missing from the list" in page
    assert not AuditEntry.objects.filter(event="allergens_informed").exists()
    answer = client.get(reverse("order", args=[order.pk]))
    data = {"way": "phone", "seen": answer.context["page"].informing.mark, "note": note}
    asked = client.post(reverse("order-inform", args=[order.pk]), data).context["inform_form"].asked
    inform(client, order, "phone", note="Ida; her nephew can't have eggs", note_read=asked)
    assert not AuditEntry.objects.filter(event="allergens_informed").exists(), "other words are read anew"
    inform(client, order, "phone", note=note, note_read=asked)
    assert AuditEntry.objects.get(event="allergens_informed").params["note_read"] == asked


def test_what_they_said_in_the_call_is_a_message_to_be_answered(order: Order) -> None:
    inform(signed_in("owner"), order, "phone", note="Ida Fenwick", their_words="Keep sumac away from our nephew Wim.")
    message = Message.objects.get(quote=order.quote)
    assert (message.text, message.seen_at) == ("Keep sumac away from our nephew Wim.", None)
