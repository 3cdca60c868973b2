"""The transitions of a quote: sent, replaced, answered; and a sent quote cannot be changed in any way."""

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal
from urllib.parse import urlsplit

import pytest
from django.test import Client

from catalog.book.services import book_import
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from orders.approvals.links import link_create
from orders.approvals.models import Approval
from orders.approvals.presenters import link_address
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_decline
from orders.documents.content import content_read, sha256_of
from orders.inquiries.models import Customer
from orders.inquiries.services import inquiry_close
from orders.quotes.draft.dessert_table import DessertTable
from orders.quotes.draft.services import draft_override
from orders.quotes.models import BookSnapshot, Quote
from orders.quotes.send.services import quote_revise, quote_withdraw, quotes_expire
from orders.records.errors import (
    AlreadyApproved,
    AnotherDraft,
    BelowFloor,
    EmptyTable,
    EventPassed,
    InquiryClosed,
    PriceChanged,
    TransitionNotAllowed,
    ValidityPassed,
    WindowTooEarly,
)
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests.factories import BY, EVENT, NOW, draft_make, kitchen_make, line_make, pdf_stored, sent_make, table_make
from tests.refusals import refused
from tests.sending import quote_send_seen
from tests.small_kitchen import small_book

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=2)


@pytest.fixture(autouse=True)
def kitchen() -> Kitchen:
    return kitchen_make()


def approve(quote: Quote, at: datetime = LATER) -> Approval:
    return quote_approve(
        quote_id=quote.pk, content_sha256=quote.content_sha256, name="Ida Fenwick", evidence=ApprovalEvidence(), at=at
    )


def test_sending_freezes_brief_estimate_book_and_content_and_asks_for_pdf_and_mail() -> None:
    draft = draft_make()
    before = Outbox.objects.count()

    quote = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)

    quote.refresh_from_db()
    assert quote.status == QuoteStatus.SENT
    assert quote.sent_at == NOW
    assert quote.sent_by == BY
    assert quote.book is not None
    assert sha256_of(quote.book.body) == quote.book.sha256
    assert quote.brief
    assert quote.estimate
    assert sha256_of(quote.content) == quote.content_sha256
    content = content_read(quote.content)
    assert (quote.total_minor, quote.deposit_minor) == (content.total_minor, content.deposit_minor)
    rows = list(Outbox.objects.order_by("pk")[before:])
    assert [row.kind for row in rows] == ["quote_pdf"], "the mail with the link follows the stored PDF"
    assert AuditEntry.objects.filter(document="quote", document_pk=quote.pk, event="send", by=BY).count() == 1


def test_two_quotes_of_one_book_share_its_snapshot() -> None:
    assert sent_make().book_id == sent_make().book_id
    assert BookSnapshot.objects.count() == 1


def test_a_deposit_is_the_share_of_the_total_rounded_half_up() -> None:
    draft = draft_make()
    Quote.objects.filter(pk=draft.pk).update(deposit_share=Decimal("0.125"))
    quote = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    assert quote.total_minor is not None
    assert quote.deposit_minor == (quote.total_minor * 2 + 8) // 16  # total ÷ 8, halves up


def _empty(quote: Quote) -> None:
    quote.lines.all().delete()


def _no_address(quote: Quote) -> None:
    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="")


def _two_addresses(quote: Quote) -> None:
    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="ida@fenwick.example, jon@fenwick.example")


@pytest.mark.parametrize("spoil", [_no_address, _two_addresses])
def test_a_customer_without_an_address_gets_a_link_to_be_handed_over_and_no_mail_waits(
    spoil: Callable[[Quote], None],
) -> None:
    draft = draft_make()
    spoil(draft)
    quote = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    assert quote.status == "sent"
    pdf_stored(quote)
    assert not Outbox.objects.filter(kind="mail").exists()
    assert not Outbox.objects.filter(status=Outbox.Status.FAILED).exists()
    token = link_create(quote_id=quote.pk, at=NOW)
    assert Client().get(urlsplit(link_address(token)).path, follow=True).status_code == 200


def _ran_out(quote: Quote) -> None:
    Quote.objects.filter(pk=quote.pk).update(valid_until=NOW)


def _event_over(quote: Quote) -> None:
    type(quote.inquiry).objects.filter(pk=quote.inquiry_id).update(
        window_start=NOW - timedelta(days=1), window_end=NOW - timedelta(days=1)
    )


def _closed(quote: Quote) -> None:
    inquiry_close(inquiry_id=quote.inquiry_id, reason="They found somebody else.", by=BY, at=NOW)


def _given_away(quote: Quote) -> None:
    Quote.objects.filter(pk=quote.pk).update(discount=Decimal("0.9"))
    Kitchen.objects.filter(pk=1).update(floor_margin=Decimal("0.3"))
    factories_changed()


def factories_changed() -> None:
    from catalog.book.revision import catalog_changed

    catalog_changed()


@pytest.mark.parametrize(
    ("spoil", "error", "word"),
    [
        (_empty, EmptyTable, "Add a product"),
        (_ran_out, ValidityPassed, "later date"),
        (_event_over, EventPassed, "Correct the date"),
        (_closed, InquiryClosed, "Reopen it"),
        (_given_away, BelowFloor, "below the floor"),
    ],
)
def test_what_stands_in_the_way_of_sending_is_said_and_leaves_the_draft(
    spoil: Callable[[Quote], None], error: type[Exception], word: str
) -> None:
    draft = draft_make()
    spoil(draft)
    rows = Outbox.objects.count()

    with refused(error, match=word):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)

    draft.refresh_from_db()
    assert draft.status == QuoteStatus.DRAFT
    assert draft.content == ""
    assert Outbox.objects.count() == rows


def test_a_recorded_reason_lets_a_quote_go_below_the_floor() -> None:
    draft = draft_make()
    _given_away(draft)
    draft_override(quote_id=draft.pk, reason="The venue sends us a wedding a month.", by=BY, at=NOW)
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW).status == QuoteStatus.SENT


@pytest.mark.parametrize(("price_minor", "sent"), [(500, True), (499, False)])
def test_a_quote_that_earns_the_floor_margin_to_the_cent_is_sent(price_minor: int, sent: bool) -> None:
    """A piece costs 3.00: of 5.00 that leaves exactly the floor of 40%."""
    book = small_book(floor_margin="0.4")
    book["overhead"] = {"per_labour_hour": "0", "per_order": "0"}
    book["ingredients"] = [
        *book["ingredients"],
        {
            "code": "shell",
            "name": "Shell",
            "base": "each",
            "packs": [{"size": "10 each", "price": "30.00", "from": "2024-01-01"}],
        },
    ]
    book["products"] = [
        {
            "code": "shell",
            "name": "Shell",
            "category": "portion",
            "servings": 1,
            "tax": "food",
            "fill": [],
            "packaging": [{"ingredient": "shell", "amount": "1 each"}],
        }
    ]
    book_import(data=json.dumps(book).encode())
    draft = draft_make(table=DessertTable(lines=(line_make("shell", 12, unit_price_minor=price_minor),)))
    if sent:
        quote = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, unchecked=["shell"])
        assert quote.goods_margin == Decimal("0.4")
    else:
        with refused(BelowFloor, match=r"39\.9%.* floor of 40\.0%"):
            quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, unchecked=["shell"])


def test_another_total_than_the_owner_saw_is_not_sent_unseen() -> None:
    draft = draft_make()
    with refused(PriceChanged, match="Review it again"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, shown_total_minor=1)
    draft.refresh_from_db()
    assert draft.status == QuoteStatus.DRAFT


def test_a_quote_with_an_impossible_window_is_not_sent() -> None:
    draft = draft_make(window_start=NOW + timedelta(hours=8))
    Quote.objects.filter(pk=draft.pk).update(valid_until=NOW + timedelta(hours=6))
    with refused(WindowTooEarly, match="Not before Thursday, January 7, 2027, 7:37 AM"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    draft.refresh_from_db()
    assert draft.status == QuoteStatus.DRAFT


def test_a_sent_quote_is_not_sent_again() -> None:
    quote = sent_make()
    with pytest.raises(TransitionNotAllowed):
        quote_send_seen(quote_id=quote.pk, by=BY, at=LATER)


def test_a_revision_copies_the_table_and_replaces_only_when_sent() -> None:
    first = sent_make()
    draft = quote_revise(quote_id=first.pk, by=BY, at=LATER)

    assert (draft.number, draft.revision, draft.replaces_id) == (first.number, 2, first.pk)
    assert list(draft.lines.values_list("product", "units", "share")) == list(
        first.lines.values_list("product", "units", "share")
    )
    assert list(draft.extras.values_list("name", "amount_minor")) == list(
        first.extras.values_list("name", "amount_minor")
    )
    first.refresh_from_db()
    assert first.status == QuoteStatus.SENT

    second = quote_send_seen(quote_id=draft.pk, by=BY, at=LATER)

    first.refresh_from_db()
    assert (first.status, second.status) == (QuoteStatus.WITHDRAWN, QuoteStatus.SENT)
    assert AuditEntry.objects.filter(document_pk=first.pk, event="replace").exists()


def test_only_one_draft_of_a_number_at_a_time() -> None:
    first = sent_make()
    quote_revise(quote_id=first.pk, by=BY, at=LATER)
    with refused(AnotherDraft, match="revision 2"):
        quote_revise(quote_id=first.pk, by=BY, at=LATER)


def test_a_discarded_draft_makes_room_for_the_next() -> None:
    first = sent_make()
    rows = Outbox.objects.count()
    given_up = quote_withdraw(quote_id=quote_revise(quote_id=first.pk, by=BY, at=LATER).pk, by=BY, at=LATER)
    assert given_up.status == QuoteStatus.WITHDRAWN
    assert Outbox.objects.count() == rows, "nobody hears of a draft"

    third = quote_revise(quote_id=first.pk, by=BY, at=LATER)

    assert (third.revision, third.replaces_id) == (3, first.pk)


def test_an_approved_quote_is_not_revised() -> None:
    quote = sent_make()
    approve(quote)
    with refused(AlreadyApproved, match="another quote"):
        quote_revise(quote_id=quote.pk, by=BY, at=LATER)


def test_a_revision_begun_before_the_yes_is_not_sent_after_it() -> None:
    quote = sent_make()
    draft = quote_revise(quote_id=quote.pk, by=BY, at=NOW)
    approve(quote)
    with pytest.raises(AlreadyApproved):
        quote_send_seen(quote_id=draft.pk, by=BY, at=LATER)


def test_a_declined_quote_can_be_revised() -> None:
    quote = sent_make()
    quote_decline(quote_id=quote.pk, reason="Too dear.", evidence=ApprovalEvidence(), at=LATER)
    assert quote_revise(quote_id=quote.pk, by=BY, at=LATER).revision == 2


def test_withdrawing_a_sent_quote_informs_the_customer() -> None:
    quote = sent_make(allergies=())
    quote_withdraw(quote_id=quote.pk, reason="The oven broke.", by=BY, at=LATER)
    row = Outbox.objects.latest("pk")
    assert (row.kind, row.payload["mail"], row.payload["words"]) == ("mail", "quote_withdrawn", "The oven broke.")


def test_quotes_expire_after_their_day_and_only_then() -> None:
    quote = sent_make()
    assert quote.valid_until is not None
    assert quotes_expire(at=quote.valid_until) == 0
    assert quotes_expire(at=quote.valid_until + timedelta(seconds=1)) == 1
    quote.refresh_from_db()
    assert quote.status == QuoteStatus.EXPIRED
    assert quotes_expire(at=quote.valid_until + timedelta(days=1)) == 0


def test_a_later_price_changes_nothing_that_was_sent() -> None:
    quote = sent_make()
    before = (quote.content, quote.total_minor)
    Kitchen.objects.filter(pk=1).update(price_step=Decimal(5), name="Another name")
    factories_changed()
    quote.refresh_from_db()
    assert (quote.content, quote.total_minor) == before
    assert content_read(quote.content).event.window_start == EVENT
    assert table_make().lines[0].units == content_read(quote.content).lines[0].units
