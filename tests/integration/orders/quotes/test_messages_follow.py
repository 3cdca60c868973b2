"""What a customer wrote follows to the next revision, to the order and to other quotes of theirs until it is read."""

from collections.abc import Iterator

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.approvals.models import Message
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_ask_change, quote_decline
from orders.documents.content import content_read
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.production.labels import label_file
from orders.quotes.changes import changes_between
from orders.quotes.draft.message_needs import RECORDED, messages_elsewhere, messages_open
from orders.quotes.draft.needs_before import needs_before_of
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences
from orders.quotes.send.services import quote_revise
from orders.records.models import AuditEntry
from orders.records.need_errors import MessagesUnread, TextUnread
from tests.answering import mark_of
from tests.cooling_kitchen import override_make
from tests.factories import BY, EVENT, NOW, draft_make, kitchen_make, pdf_stored, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.refusals import refused
from tests.sending import quote_send_seen
from tests.starting import order_start

pytestmark = pytest.mark.django_db
WORDS = "Lena gets all dotty from the green ones."
LUC = "Our boy Luc swells up from pistachio, keep it in mind for the garden party!"
SHEETS = ("sheet-handover", "sheet-prep", "sheet-recipes", "sheet-cold", "sheet-oven", "sheet-shopping")


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make()
    cache.clear()
    yield
    cache.clear()


def write(quote: Quote, words: str = WORDS) -> Message:
    return quote_ask_change(quote_id=quote.pk, text=words, evidence=ApprovalEvidence(), at=NOW)


def test_unread_messages_are_ticked_by_their_text_before_a_revision_goes() -> None:
    sent = sent_make(allergies=())
    message = write(sent)
    draft = quote_revise(quote_id=sent.pk, by=BY, at=NOW)
    owner = signed_in()
    assert WORDS in text(owner.get(reverse("inquiry", args=[sent.inquiry_id])))
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert f"I have read \u201c{WORDS}\u201d: no allergy or diet in it is missing from the list" in page
    with refused(TextUnread, match="Lena gets all dotty"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=())
    assert not Message.objects.get(pk=message.pk).seen_at
    quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    assert Message.objects.get(pk=message.pk).seen_at
    assert AuditEntry.objects.get(event="message_read").note == WORDS
    assert WORDS in text(owner.get(reverse("quote", args=[draft.pk])))


def test_messages_about_an_older_revision_are_on_the_order_and_all_its_sheets() -> None:
    sent = draft_make(allergies=())
    Quote.objects.filter(pk=sent.pk).update(override_reason="a test's price")
    override_make(sent)
    sent = pdf_stored(quote_send_seen(quote_id=sent.pk, by=BY, at=NOW))
    draft = quote_revise(quote_id=sent.pk, by=BY, at=NOW)
    Quote.objects.filter(pk=draft.pk).update(override_reason="a test's price")
    revised = pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=NOW))
    message = write(sent)
    quote_approve(
        quote_id=revised.pk, content_sha256=revised.content_sha256, name="Ida", evidence=ApprovalEvidence(), at=NOW
    )
    order = Order.objects.get()
    for name, page in sheets_of(signed_in()).items():
        assert WORDS in page, name
    assert WORDS in label_file([order]).decode()
    with refused(MessagesUnread, match="Lena gets all dotty"):
        order_start(order_id=order.pk, by=BY, at=NOW)
    order_start(order_id=order.pk, read=[message.pk], by=BY, at=NOW)


def test_a_message_is_answered_where_it_stands() -> None:
    order = order_make(allergies=())
    one, other = write(order.quote), write(order.quote, "We moved the table to the barn.")
    owner = signed_in()
    address = reverse("order", args=[order.pk])
    assert text(owner.get(address)).count("Nothing about allergies or diets") == 2
    data = {"message": other.pk, "back": f"order:{order.pk}"}
    owner.post(reverse("quote-messages-seen", args=[order.quote_id]), data)
    assert not Message.objects.get(pk=other.pk).seen_at, "what a customer wrote is not only read"
    data = {"message": one.pk, "back": f"order:{order.pk}", "what": "none"}
    answer = owner.post(reverse("quote-message-no-need", args=[order.quote_id]), data)
    assert answer["Location"] == address
    assert Message.objects.get(pk=one.pk).seen_at
    assert not Message.objects.get(pk=other.pk).seen_at
    page = text(owner.get(reverse("inquiry", args=[order.quote.inquiry_id])))
    assert other.text in page


def test_what_was_written_about_another_quote_stands_on_the_order_and_its_sheets() -> None:
    order = order_make(allergies=())
    declined = sent_make(allergies=(), title="Luncheon")
    quote_decline(quote_id=declined.pk, reason=LUC, evidence=ApprovalEvidence(), at=NOW)
    owner = signed_in()
    for address in (reverse("order", args=[order.pk]), reverse("inquiry", args=[order.quote.inquiry_id])):
        page = owner.get(address)
        assert "A message from another quote of this customer." in text(page)
        assert LUC in text(page)
        assert reverse("inquiry-edit", args=[order.quote.inquiry_id]) in page.content.decode()
    page = owner.get(reverse("quote", args=[declined.pk]))
    assert "Add to allergies and diets" in text(page)
    for name, sheet in sheets_of(owner).items():
        assert LUC in sheet, name
    Inquiry.objects.filter(pk=order.quote.inquiry_id).update(allergies=["pistachios"])
    here = Inquiry.objects.get(pk=order.quote.inquiry_id)
    assert messages_elsewhere([here]) == {}
    assert messages_open([declined.inquiry])


def sheets_of(owner: Client) -> dict[str, str]:
    days = f"?first={EVENT.date()}&last={EVENT.date()}"
    return {name: text(owner.get(f"{reverse(name)}{days}")) for name in SHEETS}


def test_that_the_needs_of_a_message_are_recorded_is_recorded_with_who_and_when() -> None:
    sent = sent_make(allergies=("milk",), need_counts={"milk": 1})
    message = write(sent, "My son swells up from something green.")
    owner = signed_in()
    page = text(owner.get(reverse("inquiry", args=[sent.inquiry_id])))
    assert "Already in the list" in page
    Inquiry.objects.filter(pk=sent.inquiry_id).update(allergy_note="Something green, her son")
    data = {"message": message.pk, "what": "recorded", "compared": mark_of(message)}
    page = text(owner.post(reverse("quote-message-no-need", args=[sent.pk]), data, follow=True))
    assert "the allergies and diets in the message are in the list" in page
    assert "customer's message read: the needs in it are recorded" in page
    assert AuditEntry.objects.get(event=RECORDED).params == {"message": message.pk}
    assert messages_open([sent.inquiry]) == {}


def test_a_message_is_answered_when_every_need_recognized_in_it_is_there() -> None:
    sent = sent_make(allergies=("vegan", "gluten"), need_counts={"vegan": 2, "gluten": 3})
    write(sent, "There are 2 vegan guests and 3 coeliacs.")
    assert messages_open([sent.inquiry]) == {}


def test_new_needs_are_among_the_changes_that_the_customer_reads() -> None:
    sent = sent_make(allergies=("milk",), need_counts={"milk": 1})
    draft = quote_revise(quote_id=sent.pk, by=BY, at=NOW)
    Inquiry.objects.filter(pk=sent.inquiry_id).update(
        allergies=["milk", "walnuts"], need_counts={"milk": 2, "walnuts": 1}
    )
    revised = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    found = change_sentences(changes_between(content_read(sent.content), content_read(revised.content)))
    assert "New among the allergies and diets: walnuts for 1 guest." in found
    assert "Among the allergies and diets now: milk for 2 guests." in found


def test_what_was_needed_last_time_stands_on_the_inquiry_and_is_ticked_before_it_goes() -> None:
    sent_make(allergies=("walnuts",), need_counts={"walnuts": 2}, title="Wedding")
    draft = draft_make(allergies=(), asked_none=True, title="Garden party")
    owner = signed_in()
    for name in ("inquiry", "inquiry-edit"):
        page = text(owner.get(reverse(name, args=[draft.inquiry_id])))
        assert "Last time: 2 guests: walnuts (Wedding)" in page
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "Not among the guests this time, as the customer says: walnuts for 2 guests" in page
    with refused(TextUnread, match="Wedding"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=())
    Inquiry.objects.filter(pk=draft.inquiry_id).update(allergies=["walnuts"])
    assert needs_before_of(Inquiry.objects.get(pk=draft.inquiry_id)) is None


def test_the_orders_own_line_has_later_needs_with_their_counts() -> None:
    order = order_make(allergies=("peanuts",), need_counts={"peanuts": 2})
    Inquiry.objects.filter(pk=order.quote.inquiry_id).update(
        allergies=["peanuts", "sesame"], need_counts={"peanuts": 2, "sesame": 1}
    )
    page = text(signed_in().get(reverse("order", args=[order.pk])))
    assert "Allergies 2 guests: peanuts; 1 guest: sesame" in page


def test_the_mail_with_the_link_says_that_nobody_asked_as_the_page_does() -> None:
    sent_make(allergies=())
    row = Outbox.objects.filter(payload__mail="quote_sent", kind="mail").latest("pk")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    assert "We have not asked you yet." in " ".join(str(mail.outbox[-1].body).split())
    assert "We have not asked you yet." in str(mail.outbox[-1].alternatives[0].content)  # type: ignore[attr-defined]
