"""A customer's message that may name what a guest cannot eat stops everything until the owner has answered it."""

import re
from collections.abc import Iterator

import pytest
from django.core import mail
from django.core.cache import cache
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.approvals.errors import KitchenMustAnswer
from orders.approvals.files import _context as approval_context
from orders.approvals.links import link_create
from orders.approvals.messages import approval_held
from orders.approvals.models import Approval, Message
from orders.approvals.services import (
    ApprovalEvidence,
    quote_approve,
    quote_ask_change,
    quote_record_approval,
    quote_reply,
)
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes.draft.message_needs import messages_open
from orders.quotes.files import PDF_TEMPLATE
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.need_errors import MessageUnanswered, NeedInReason, OwnTextUnread
from tests.answering import message_answered
from tests.factories import BY, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.builders import order_make
from tests.refusals import refused
from tests.sending import own_read, quote_send_seen

pytestmark = pytest.mark.django_db
WROTE = "One more thing: my aunt can't eat walnuts."
TITLE = "A message may name what a guest cannot eat."
NONE_NAMED = "You told us of no allergies or diets among your guests."


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make(phone="555 0100")
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def quote() -> Quote:
    sent = sent_make(allergies=(), asked_none=True)
    write(sent)
    return Quote.objects.get(pk=sent.pk)


def write(quote: Quote, words: str = WROTE) -> Message:
    return quote_ask_change(quote_id=quote.pk, text=words, evidence=ApprovalEvidence(), at=NOW)


def approved(quote: Quote) -> None:
    quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida Corven",
        evidence=ApprovalEvidence(),
        at=NOW,
    )


def customers_page(quote: Quote, name: str = "quote-page") -> str:
    client = Client()
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=NOW)]))
    return text(client.get(reverse(name, args=[quote.pk])))


def settled(owner: Client, quote: Quote) -> None:
    data = {"message": quote.messages.exclude(kind="reply").get().pk, "no_guest": "1"}
    page = owner.post(reverse("quote-message-no-need", args=[quote.pk]), data, follow=True)
    assert "Nothing about allergies or diets" not in page.content.decode()


def test_the_customer_reads_no_more_that_none_was_named_and_cannot_approve(quote: Quote) -> None:
    page = customers_page(quote)
    assert NONE_NAMED not in page
    assert "You wrote to us about an allergy or a diet, and we have not confirmed our answer yet." in page
    assert "this quote can be approved only after that." in page
    assert "Review and approve" not in page
    with refused(KitchenMustAnswer, match="does not answer that yet"):
        approved(quote)


def test_nor_while_a_message_without_a_need_is_not_answered() -> None:
    sent = sent_make(allergies=(), asked_none=True)
    assert NONE_NAMED in customers_page(sent)
    write(sent, "We moved the table to the barn.")
    for page in (customers_page(sent), customers_page(sent, "quote-page-approve")):
        assert NONE_NAMED not in page
        assert "We have not answered your message yet." in page
    words = "Gladly, to the barn."
    quote_reply(quote_id=sent.pk, text=words, read=own_read(sent, words), by=BY, at=NOW)
    for page in (customers_page(sent), customers_page(sent, "quote-page-approve")):
        assert NONE_NAMED not in page, "a reply alone states nothing of the list"
        assert "We have not answered your message yet." not in page
        assert "We replied to your message, and still have to confirm the list of allergies and diets." in page
    write(sent, "And the chairs?")
    assert "We have not answered your message yet." in customers_page(sent)
    quote_reply(quote_id=sent.pk, text=words, read=own_read(sent, words), by=BY, at=NOW)
    owner = signed_in()
    for address in (reverse("quote", args=[sent.pk]), reverse("inquiry", args=[sent.inquiry_id])):
        page = text(owner.get(address))
        assert "Still to record: whether this message names an allergy or a diet." in page
        assert "Choose “Add to allergies and diets” or “Nothing about allergies or diets”." in page
    assert "New message, not answered yet." not in page
    assert "(replied to; what it says of allergies" in text(owner.get(reverse("messages-unread")))
    for message in sent.messages.exclude(kind="reply"):
        message_answered(message)
    assert NONE_NAMED in customers_page(sent)


def test_a_reply_to_what_nobody_has_stated_anything_of_is_read_as_a_whole() -> None:
    sent = sent_make(allergies=(), asked_none=True)
    write(sent, "मेरे भाई को मूंगफली नहीं")
    words = "sure, your brother can have the glasses, no worry at all."
    with refused(OwnTextUnread, match="check the box"):
        quote_reply(quote_id=sent.pk, text=words, by=BY, at=NOW)
    page = text(signed_in().post(reverse("quote-reply", args=[sent.pk]), {"text": words}))
    assert "What it says about food is true for every guest the messages speak of" in page
    quote_reply(quote_id=sent.pk, text=words, read=own_read(sent, words), by=BY, at=NOW)
    page = customers_page(sent)
    assert NONE_NAMED not in page
    assert "serve nothing of this to that guest" in page


def test_the_pdf_of_an_approval_says_what_the_page_says() -> None:
    sent = sent_make(allergies=(), asked_none=True)
    write(sent, "मेरे भाई को मूंगफली नहीं")
    approved(Quote.objects.get(pk=sent.pk))
    assert "We have not answered your message yet." in paper()
    write(sent)
    assert "You wrote to us about an allergy or a diet, and we have not confirmed our answer yet." in paper()
    assert NONE_NAMED not in paper()


def paper() -> str:
    return strip_tags(render_to_string(PDF_TEMPLATE, {**approval_context(Approval.objects.get()), "marked": False}))


def test_nor_does_the_owner_record_a_yes(quote: Quote) -> None:
    with refused(MessageUnanswered, match="can't eat walnuts"):
        quote_record_approval(quote_id=quote.pk, name="Ida Corven", reason="By phone", by=BY, at=NOW)


def test_how_an_approval_was_given_names_no_need_that_is_not_recorded() -> None:
    sent = sent_make(allergies=())
    words = {"quote_id": sent.pk, "name": "Ida Corven", "by": BY, "at": NOW}
    with refused(NeedInReason, match="walnuts"):
        quote_record_approval(reason="By phone; her aunt can't eat walnuts", **words)
    quote_record_approval(reason="By phone, allergies confirmed as none", **words)


def test_the_owners_pages_show_it_until_it_is_answered(quote: Quote) -> None:
    owner = signed_in()
    quote.messages.update(seen_at=NOW)
    for address in (
        reverse("quote", args=[quote.pk]),
        reverse("inquiry", args=[quote.inquiry_id]),
        reverse("quote-record-approval", args=[quote.pk]),
    ):
        page = text(owner.get(address))
        assert TITLE in page
        assert WROTE in page
        assert "Nothing about allergies or diets" in page
    for name in ("day", "inquiries"):
        assert "Cannot be approved" in text(owner.get(reverse(name)))


def test_one_click_says_that_no_need_is_in_it(quote: Quote) -> None:
    owner = signed_in()
    settled(owner, quote)
    assert "customer's message read: no allergy or diet in it" in text(owner.get(reverse("quote", args=[quote.pk])))
    assert TITLE not in text(owner.get(reverse("inquiry", args=[quote.inquiry_id])))
    assert NONE_NAMED in customers_page(quote)
    approved(quote)


def test_another_message_after_it_is_open_again(quote: Quote) -> None:
    settled(signed_in(), quote)
    write(quote, "And two vegans.")
    assert [one.text for one in messages_open([quote.inquiry])[quote.inquiry_id]] == ["And two vegans."]


def test_recording_the_need_it_names_answers_it(quote: Quote) -> None:
    owner = signed_in()
    address = reverse("inquiry-edit", args=[quote.inquiry_id])
    page = owner.get(f"{address}?needs=note")
    assert WROTE in text(page)
    form = edit_form_of(page)
    assert form.fields["allergies"] == ["walnuts"]
    owner.post(address, form.data())
    assert Inquiry.objects.get(pk=quote.inquiry_id).allergies == ["walnuts"]
    assert TITLE not in text(owner.get(reverse("quote", args=[quote.pk])))
    with refused(KitchenMustAnswer, match="does not answer that yet"):
        approved(quote)


def test_a_group_that_covers_what_it_names_answers_it_too(quote: Quote) -> None:
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=["tree-nuts"])
    assert messages_open([Inquiry.objects.get(pk=quote.inquiry_id)]) == {}


def test_a_revision_does_not_go_out_over_it(quote: Quote) -> None:
    draft = quote_revise(quote_id=quote.pk, by=BY, at=NOW)
    owner = signed_in()
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "may name what a guest cannot eat. Record it as a need" in page
    with refused(MessageUnanswered, match="walnuts"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    settled(owner, quote)
    quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)


def test_an_allergy_without_a_name_of_ours_is_noticed_too() -> None:
    sent = sent_make()
    write(sent, "My son is allergic to kiwi.")
    with refused(KitchenMustAnswer, match="does not answer that yet"):
        approved(Quote.objects.get(pk=sent.pk))


def test_a_change_that_names_desserts_alone_stops_nothing() -> None:
    sent = sent_make()
    write(sent, "Could we have one more Walnut sponge cake, two tiers, at five?")
    assert messages_open([sent.inquiry]) == {}
    approved(Quote.objects.get(pk=sent.pk))


def test_what_the_service_writes_of_a_held_approval_is_no_message_of_theirs() -> None:
    sent = sent_make()
    words = "Ida wanted to approve, and read: “Nothing was approved: you told the kitchen of an allergy.”"
    approval_held(quote_id=sent.pk, name="Ida", words=words, reasons=["An allergy."], at=NOW)
    assert messages_open([sent.inquiry]) == {}


def test_after_an_approval_the_order_and_its_sheets_show_it() -> None:
    order = order_make(allergies=())
    write(order.quote)
    owner = signed_in()
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert TITLE in page
    assert re.search(r"my aunt can(?:&#x27;|')t eat walnuts", page)
    assert Order.objects.count() == 1
    kitchens = text(signed_in("kitchen").get(reverse("order", args=[order.pk])))
    assert TITLE in kitchens
    assert "Nothing about allergies or diets" not in kitchens


def test_the_order_shows_every_message_until_it_is_read_whatever_it_says() -> None:
    order = order_make(allergies=())
    words = "Our Lena gets red all over from some of these things."
    write(order.quote, words)
    owner = signed_in()
    for client in (owner, signed_in("kitchen")):
        page = text(client.get(reverse("order", args=[order.pk])))
        assert "New message, not answered yet." in page
        assert words in page
    order.quote.messages.update(seen_at=NOW)
    assert words not in text(owner.get(reverse("order", args=[order.pk])))


def test_a_reaction_without_an_allergen_holds_the_approval() -> None:
    sent = sent_make(allergies=())
    write(sent, "My brother swells up after some desserts.")
    with refused(KitchenMustAnswer, match="does not answer that yet"):
        approved(Quote.objects.get(pk=sent.pk))


def reply_mailed(quote: Quote, words: str = "We bring the tart at five.") -> str:
    quote_reply(quote_id=quote.pk, text=words, read=own_read(Quote.objects.get(pk=quote.pk), words), by=BY, at=NOW)
    row = Outbox.objects.filter(payload__mail="reply").latest("pk")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    return " ".join(str(mail.outbox[-1].body).split())


def test_a_reply_says_beneath_it_which_desserts_serve_the_needs() -> None:
    sent = sent_make(allergies=("walnuts",), need_counts={"walnuts": 2})
    address = reverse("quote", args=[sent.pk])
    assert "The e-mail adds this beneath your reply:" in text(signed_in().get(address))
    body = reply_mailed(sent)
    assert "2 guests cannot have walnuts. Not for them: Walnut sponge cake, two tiers (contains walnuts)" in body
    html = str(mail.outbox[-1].alternatives[0].content)  # type: ignore[attr-defined]
    assert "2 guests cannot have walnuts." in html


def test_a_reply_says_it_of_a_need_that_was_recorded_since() -> None:
    sent = sent_make(allergies=())
    Inquiry.objects.filter(pk=sent.inquiry_id).update(allergies=["walnuts"])
    assert "Some guests cannot have walnuts. Not for them: Walnut sponge cake" in reply_mailed(sent)


def test_a_reply_says_it_of_what_a_message_names(quote: Quote) -> None:
    body = reply_mailed(quote)
    assert "Some guests cannot have walnuts. Not for them: Walnut sponge cake" in body
    assert "What you wrote about an allergy or a diet is not in this quote yet." in body


def test_a_reply_where_nothing_was_named_says_nothing_of_it() -> None:
    body = reply_mailed(sent_make(allergies=(), asked_none=True))
    assert "guests cannot" not in body
    assert "What you wrote" not in body


def test_one_person_beside_several_recorded_is_asked_for_as_one_more() -> None:
    sent = sent_make(allergies=("gluten",), need_counts={"gluten": 2})
    write(sent, "Opa is Z\u00f6li.")
    assert [one.counted for one in messages_open([sent.inquiry])[sent.inquiry_id]] == [("gluten",)]
    page = signed_in().get(f"{reverse('inquiry-edit', args=[sent.inquiry_id])}?needs=note")
    assert "One more? 2 so far. Enter how many they are in all." in text(page)
    assert edit_form_of(page).fields["guests-gluten"] == ["2"]
    with refused(KitchenMustAnswer, match="does not answer that yet"):
        approved(Quote.objects.get(pk=sent.pk))


@pytest.mark.parametrize(
    "words",
    [
        "Could we have 20 fewer tartlets and one more gluten-free dessert?",
        "Please add another gluten-free cake.",
        "We would like 10 more tartlets and another gluten-free dessert.",
    ],
)
def test_more_desserts_for_a_need_that_is_recorded_stop_nothing(words: str) -> None:
    sent = sent_make(allergies=("gluten",), need_counts={"gluten": 2})
    write(sent, words)
    assert messages_open([sent.inquiry]) == {}
    page = customers_page(sent)
    assert "Review and approve" in page
    assert "We will answer." in page
    assert "cannot be approved" not in page


@pytest.mark.parametrize(
    "words",
    [
        "One more gluten-free guest, please.",
        "Could we have one more gluten-free dessert for my aunt?",
        "One more gluten-free dessert, three guests need it.",
        "One more gluten-free dessert. They are now 4.",
        "Two more gluten-free portions, please.",
        "We would like two more gluten-free desserts.",
        "We would like 2 more gluten-free dessert, please.",
        "One more vegan dessert, please.",
        "One more gluten-free dessert: my niece is coeliac.",
        "One more dessert without gluten; she cannot eat it.",
    ],
)
def test_what_is_not_plainly_about_desserts_alone_goes_on_stopping(words: str) -> None:
    sent = sent_make(allergies=("gluten",), need_counts={"gluten": 2})
    write(sent, words)
    assert messages_open([sent.inquiry])
    page = customers_page(sent)
    assert "Review and approve" not in page


def test_who_just_wrote_reads_one_message_that_says_both(quote: Quote) -> None:
    client = Client()
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=NOW)]))
    both = "We will answer. Because it may be about an allergy or a diet, this quote can be approved only after that."
    for query in ({"said": "change"}, {}):
        answer = client.get(reverse("quote-page", args=[quote.pk]), query)
        page = text(answer)
        assert page.count(both) == 1
        assert "If it is urgent, call us on 555 0100." in page
        assert "out of date" not in page
        assert "stays as it is" not in page
        assert "This quote cannot be approved now." not in page
        assert "Write to the kitchen" not in page
        assert "Review and approve" not in page
