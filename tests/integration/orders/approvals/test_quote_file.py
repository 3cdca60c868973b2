"""The owner's record of a sent quote: status, messages, replies, changes, links, a recorded approval."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.outbox.models import Outbox
from catalog.outbox.reasons import reason_of
from catalog.records.reasons import reason_to_json
from orders.approvals.models import Message
from orders.approvals.quote_file import quote_file
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.changes import changes_between
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences
from orders.quotes.send.services import quote_revise
from tests import factories
from tests.factories import BY, NOW, pdf_stored
from tests.sending import own_read, quote_send_seen

pytestmark = pytest.mark.django_db


def sent(quote: Quote) -> Quote:
    return quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)


def page_of(owner: Client, name: str, quote: Quote) -> str:
    answer = owner.get(reverse(name, args=[quote.pk]))
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_a_sent_quote_offers_what_its_status_allows(owner: Client, quote: Quote) -> None:
    page = page_of(owner, "quote", sent(quote))
    for words in ("Record approval", "Create revision", "Withdraw"):
        assert words in page
    reason = "The hall is closed"
    owner.post(reverse("quote-withdraw", args=[quote.pk]), {"reason": reason, "read": own_read(quote, reason)})
    page = page_of(owner, "quote", quote)
    assert "Create revision" in page
    assert "Record approval" not in page


def test_a_yes_by_phone_confirms_the_order_with_how_it_came(owner: Client, quote: Quote) -> None:
    waits = sent(quote)
    address = reverse("quote-record-approval", args=[quote.pk])
    early = owner.post(address, {"name": "Ida Fenwick", "how": "phone"}).content.decode()
    assert "is still being made" in early
    assert '<option value="phone" selected>' in early, "what was typed stays"
    pdf_stored(waits)
    assert "Choose how it was approved." in owner.post(address, {"name": "Ida Fenwick"}).content.decode()
    owner.post(address, {"name": "Ida Fenwick", "how": "phone"})
    assert Order.objects.get().quote_id == quote.pk
    page = page_of(owner, "quote", quote)
    assert "recorded by maren" in page
    assert "Create revision" not in page


def test_what_the_customer_asked_is_shown_and_answered_by_mail(owner: Client, quote: Quote) -> None:
    sent(quote)
    quote_ask_change(quote_id=quote.pk, text="Could it be ninety guests?", evidence=ApprovalEvidence(), at=NOW)
    assert "Could it be ninety guests?" in page_of(owner, "quote", quote)
    address = reverse("quote-reply", args=[quote.pk])
    assert "Enter your reply." in owner.post(address, {"text": ""}).content.decode()
    words = "It can. A new revision follows."
    owner.post(address, {"text": words, "read": own_read(quote, words)})
    assert Message.objects.get(kind="reply").text == words


def test_a_revision_says_what_changed_and_keeps_the_old_one(owner: Client, quote: Quote) -> None:
    sent(quote)
    owner.post(reverse("quote-revise", args=[quote.pk]))
    draft = Quote.objects.get(status="draft")
    table = factories.table_make()
    table = table.with_line("rice-glass", units=84)
    draft_save(quote_id=draft.pk, table=table, by=BY, at=NOW)
    sent(draft)
    page = page_of(owner, "quote", draft)
    assert "Saffron rice cream with quince, glass: 84 instead of 72." in page
    assert "The total is" in page
    assert page_of(owner, "quote", quote)  # the old one is still there to read


def test_a_revision_names_a_discount_given_and_one_taken_off(owner: Client, quote: Quote) -> None:
    draft_save(quote_id=quote.pk, table=factories.table_make(discount=Decimal("0.1")), by=BY, at=NOW)
    sent(quote)
    owner.post(reverse("quote-revise", args=[quote.pk]))
    draft = Quote.objects.get(status="draft")
    draft_save(quote_id=draft.pk, table=factories.table_make(discount=Decimal("0.05")), by=BY, at=NOW)
    sent(draft)
    page = page_of(owner, "quote", draft)
    assert "Discount of 10% removed: −$" in page
    assert "Discount of 5% added: −$" in page
    assert "$0.00 instead of" not in page


def test_nothing_changed_is_nothing_to_say(quote: Quote) -> None:
    sent(quote)
    content = quote_file(quote.pk, NOW).content
    assert content is not None
    assert changes_between(content, content) == []


def test_a_revision_says_which_dessert_holds_what_it_did_not_before(quote: Quote) -> None:
    before = content_read(sent(quote).content)
    first = before.lines[0]
    after = replace(
        before, lines=(replace(first, allergens=("milk", "pecans"), may_contain=("sesame",)), *before.lines[1:])
    )
    found = {change.code: change.params for change in changes_between(before, after)}
    assert found["contains"] == {"name": first.name, "codes": ("pecans",)}
    assert found["may_contain"]["codes"] == ("sesame",)
    assert found["contains_no_more"]["codes"] == ("eggs", "wheat")
    assert f"{first.name} now contains pecans." in change_sentences(changes_between(before, after))
    # A content of earlier days was not asked what it may contain.
    earlier = replace(before, allergen_list="")
    assert "may_contain" not in {change.code for change in changes_between(earlier, after)}


def test_a_quotes_file_takes_the_same_queries_for_one_revision_and_for_three(quote: Quote) -> None:
    sent(quote)
    counts = []
    quote_file(quote.pk, NOW)  # the Book is known afterwards
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            quote_file(Quote.objects.latest("pk").pk, NOW)
        counts.append(len(caught))
        for _ in range(2):
            sent(quote_revise(quote_id=Quote.objects.latest("pk").pk, by=BY, at=NOW))
    assert counts[0] == counts[1]


def test_the_owner_closes_the_links(owner: Client, quote: Quote) -> None:
    sent(quote)
    assert "revoked" in owner.post(reverse("quote-links-revoke", args=[quote.pk]), follow=True).content.decode()


def test_the_page_of_a_pdf_waits_for_it_says_what_failed_and_then_opens_it(owner: Client, quote: Quote) -> None:
    sent_quote, address = sent(quote), reverse("quote-pdf", args=[quote.pk])
    waits = owner.get(address)
    assert waits.status_code == 202
    assert "PDF is being made" in waits.content.decode()
    assert f'hx-get="{address}?look=1"' in waits.content.decode(), "with scripts it looks again by itself"
    assert f'content="3;url={address}?look=1"' in waits.content.decode(), "and without"
    row = Outbox.objects.get(kind="quote_pdf")
    Outbox.objects.update(status="failed", error=reason_to_json(reason_of(MemoryError())))
    failed = owner.get(f"{address}?look=1").content.decode()
    assert "There was not enough memory." in failed
    assert reverse("mail-again", args=[row.pk]) in failed
    assert "hx-get" not in failed.split("<main")[1]
    Outbox.objects.update(status="waiting")
    stored = pdf_stored(sent_quote).pdf
    assert stored is not None
    ready = owner.get(f"{address}?look=1")
    assert (ready.status_code, f'href="{address}"' in ready.content.decode()) == (200, True)
    assert owner.get(address).content == stored.body


def test_a_draft_has_no_pdf_to_wait_for(owner: Client, quote: Quote) -> None:
    assert owner.get(reverse("quote-pdf", args=[quote.pk])).status_code == 404


def test_a_link_to_copy_is_offered_by_itself_once_the_pdf_is_made(owner: Client, quote: Quote) -> None:
    waits = sent(quote)
    page = page_of(owner, "quote", waits)
    assert "A link to copy can be created here as soon as it is ready." in page
    assert f'hx-get="{reverse("quote", args=[waits.pk])}"' in page
    assert "None yet." not in page
    pdf_stored(waits)
    page = page_of(owner, "quote", waits)
    assert "Create a link to copy" in page
    assert "as soon as it is ready" not in page


def test_a_site_that_only_this_computer_answers_says_so_beside_the_links(
    owner: Client, quote: Quote, settings: Any
) -> None:
    waits = pdf_stored(sent(quote))
    settings.SITE_URL = "http://127.0.0.1:8000"
    page = page_of(owner, "quote", waits)
    assert "they begin with http://127.0.0.1:8000, which only this computer answers" in page
    assert "whoever set up Coldset" in page
    settings.SITE_URL = "https://kitchen.example"
    assert "whoever set up Coldset" not in page_of(owner, "quote", waits)


def test_a_sent_quote_and_its_inquiry_show_the_owner_its_figures(owner: Client, quote: Quote) -> None:
    waits = sent(quote)
    waits.refresh_from_db()
    assert waits.total_minor is not None
    assert waits.goods_margin is not None
    guests = content_read(waits.content).event.guests
    per_guest = f"<dt>Per guest</dt><dd>${waits.total_minor / 100 / (guests or 1):,.2f}</dd>"
    margin = f"<dt>Margin on products</dt><dd>{float(waits.goods_margin) * 100:.1f}%, "
    pages = [page_of(owner, "quote", waits), owner.get(reverse("inquiry", args=[waits.inquiry_id])).content.decode()]
    for page in pages:
        assert per_guest in page
        assert margin in page
        assert "floor " in page.partition(margin)[2][:30]
    assert f'<a href="{reverse("quote", args=[waits.pk])}">open it and create a revision</a>' in pages[1]


def test_a_draft_left_over_after_an_approval_names_the_order_and_can_be_discarded(owner: Client, quote: Quote) -> None:
    waits = pdf_stored(sent(quote))
    draft = quote_revise(quote_id=waits.pk, by=BY, at=NOW)
    address = reverse("quote-record-approval", args=[waits.pk])
    owner.post(address, {"name": "Ida Fenwick", "how": "phone"})
    order = Order.objects.get()
    page = owner.get(reverse("inquiry", args=[waits.inquiry_id])).content.decode()
    assert f'Approved as <a href="{reverse("order", args=[order.pk])}">{order.number}</a>.' in page
    assert f"{waits} is what the customer ordered." in page
    assert "The draft of revision 2 was left over and cannot be sent." in page
    assert f'<a href="{reverse("quote-withdraw", args=[draft.pk])}">Discard draft</a>' in page
    owner.post(reverse("quote-withdraw", args=[draft.pk]))
    page = owner.get(reverse("inquiry", args=[waits.inquiry_id])).content.decode()
    assert "Approved as" in page
    assert "left over" not in page
    assert "create a revision</a>" not in page
