"""Approvals: one result however often they are sent, their evidence, and every refusal."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.outbox.models import Outbox
from catalog.pantry.models import Ingredient
from orders.approvals.links import link_create
from orders.approvals.models import Approval, Link, Message
from orders.approvals.selectors import why_closed
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_decline, quote_record_approval
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.files import quote_document
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise, quote_withdraw, quotes_expire
from orders.records.closed_errors import NewerApproved, QuoteDeclined, QuoteExpired, QuoteReplaced, QuoteWithdrawn
from orders.records.errors import (
    AllergensChanged,
    ContentDiffers,
    KitchenMustTell,
    NameMissing,
    PdfNotStored,
    ReasonMissing,
    TransitionNotAllowed,
)
from orders.records.models import AuditEntry
from orders.records.presenters import actor_words, sentence
from orders.records.states import QuoteStatus
from tests.databases import RealDatabase
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored, sent_make, user_make
from tests.refusals import refused
from tests.sending import quote_send_seen

LATER = NOW + timedelta(days=2)
PROGRAM = "tests.integration.processes.approvals"


@pytest.fixture
def quote(db: None) -> Quote:
    kitchen_make()
    return sent_make()


def approve(quote: Quote, **changes: Any) -> Approval:
    return quote_approve(
        **{
            "quote_id": quote.pk,
            "content_sha256": quote.content_sha256,
            "name": "Ida Fenwick",
            "evidence": ApprovalEvidence(),
            "at": LATER,
            **changes,
        }
    )


def test_a_yes_moves_the_quote_makes_the_order_and_asks_for_pdf_and_mail_in_one_go(quote: Quote) -> None:
    before = Outbox.objects.count()
    approve(quote)

    quote.refresh_from_db()
    order = Order.objects.get(quote=quote)
    assert (quote.status, quote.answered_at) == (QuoteStatus.APPROVED, LATER)
    assert (order.total_minor, order.deposit_minor) == (quote.total_minor, quote.deposit_minor)
    asked = [(row.kind, row.payload.get("mail")) for row in Outbox.objects.order_by("pk")[before:]]
    assert asked == [("approval_pdf", "approved"), ("mail", "kitchen_approved")]


def test_the_evidence_holds_what_was_shown_who_said_yes_when_and_from_where(quote: Quote) -> None:
    pdf = quote_document(quote_id=quote.pk, at=NOW)
    link_create(quote_id=quote.pk, at=NOW)
    link = Link.objects.get()
    given = approve(quote, evidence=ApprovalEvidence(link_id=link.pk, ip="203.0.113.7", user_agent="A phone " * 60))

    content = content_read(quote.content)
    evidence = Approval.objects.get(pk=given.pk)
    assert evidence.quote_id == quote.pk
    assert evidence.content_sha256 == quote.content_sha256
    assert evidence.pdf_sha256 == pdf.sha256
    assert evidence.statement == content.statement
    assert evidence.button == content.button == "Approve and commit to pay"
    assert (evidence.name, evidence.at) == ("Ida Fenwick", LATER)
    assert (evidence.link_id, evidence.ip, len(evidence.user_agent)) == (link.pk, "203.0.113.7", 300)
    assert evidence.recorded_by == ""
    assert actor_words(AuditEntry.objects.get(event="approve").by) == "customer"


def test_the_statement_names_number_revision_day_total_and_deposit(quote: Quote) -> None:
    words = content_read(quote.content).statement
    for part in (quote.number, "revision 1", "Saturday, February 6, 2027", "$1,958.76", "$587.63", "commit to pay"):
        assert part in words


def test_a_yes_asks_for_its_own_pdf_and_keeps_as_much_of_a_name_as_there_is_room_for(quote: Quote) -> None:
    approval = approve(quote, name=f" {'x' * 130} ")
    asked = Outbox.objects.get(kind="approval_pdf")
    assert (asked.payload, asked.about) == ({"approval": approval.pk, "mail": "approved"}, f"quote:{quote.pk}")
    assert asked.summary == f"PDF of {quote}, approved"
    assert approval.name == "x" * 120


def test_a_second_yes_returns_the_first(quote: Quote) -> None:
    first = approve(quote)
    again = approve(quote, name="Jonas Fenwick", at=LATER + timedelta(minutes=1))
    assert (again.pk, again.name) == (first.pk, "Ida Fenwick")
    assert Order.objects.count() == Approval.objects.count() == 1
    assert Outbox.objects.filter(payload__mail="approved").count() == 1


def test_a_yes_to_something_else_than_what_is_on_offer_is_refused(quote: Quote) -> None:
    with refused(ContentDiffers, match="Read it again before you approve it"):
        approve(quote, content_sha256="0" * 64)
    assert not Approval.objects.exists()
    approve(quote)
    with pytest.raises(ContentDiffers):
        approve(quote, content_sha256="0" * 64)


def test_a_yes_without_a_name_is_refused(quote: Quote) -> None:
    with refused(NameMissing, match="Enter your full name"):
        approve(quote, name="  ")


def test_a_yes_after_the_day_is_refused_before_the_sweep_and_after_it(quote: Quote) -> None:
    assert quote.valid_until is not None
    late = quote.valid_until + timedelta(seconds=1)
    with refused(QuoteExpired, match="was valid until"):
        approve(quote, at=late)
    quotes_expire(at=late)
    with pytest.raises(QuoteExpired):
        approve(quote, at=late)
    assert not Order.objects.exists()


def test_a_yes_in_the_last_moment_counts(quote: Quote) -> None:
    assert approve(quote, at=quote.valid_until).pk


def test_a_yes_to_a_replaced_quote_is_refused_and_says_since_when(quote: Quote) -> None:
    draft = quote_revise(quote_id=quote.pk, by=BY, at=LATER)
    quote_send_seen(quote_id=draft.pk, by=BY, at=LATER)
    with refused(QuoteReplaced, match="changed this quote on Friday, January 8, 2027"):
        approve(quote)


def test_the_page_of_a_replaced_quote_says_that_the_newer_one_was_approved(quote: Quote) -> None:
    draft = quote_revise(quote_id=quote.pk, by=BY, at=LATER)
    newer = quote_send_seen(quote_id=draft.pk, by=BY, at=LATER)
    approve(pdf_stored(newer), at=LATER)
    quote.refresh_from_db()
    why = why_closed(quote, LATER)
    assert isinstance(why, NewerApproved)
    assert sentence(why) == "This quote was replaced by a newer one, which was approved on Friday, January 8, 2027."
    with refused(NewerApproved, match="approved on Friday, January 8, 2027"):
        approve(quote, at=LATER)


def test_the_old_revision_can_be_approved_until_the_new_one_is_sent(quote: Quote) -> None:
    quote_revise(quote_id=quote.pk, by=BY, at=NOW)
    assert approve(quote).quote_id == quote.pk


def test_a_yes_to_a_withdrawn_quote_is_refused(quote: Quote) -> None:
    quote_withdraw(quote_id=quote.pk, by=BY, at=LATER)
    with refused(QuoteWithdrawn, match="withdrew this quote"):
        approve(quote)


def test_a_yes_after_a_no_is_refused(quote: Quote) -> None:
    quote_decline(quote_id=quote.pk, reason="Too dear", evidence=ApprovalEvidence(), at=LATER)
    with refused(QuoteDeclined, match="was declined"):
        approve(quote)


def test_a_no_after_a_yes_is_refused(quote: Quote) -> None:
    approve(quote)
    with pytest.raises(TransitionNotAllowed):
        quote_decline(quote_id=quote.pk, reason="", evidence=ApprovalEvidence(), at=LATER)


def test_a_no_is_on_record_with_its_reason_and_reaches_the_kitchen(quote: Quote) -> None:
    link_create(quote_id=quote.pk, at=NOW)
    evidence = ApprovalEvidence(link_id=Link.objects.get().pk)
    assert quote_decline(quote_id=quote.pk, reason=" Too dear ", evidence=evidence, at=LATER) == quote
    quote.refresh_from_db()
    assert (quote.status, quote.answered_at) == (QuoteStatus.DECLINED, LATER)
    (message,) = Message.objects.all()
    assert (message.quote, message.kind, message.text) == (quote, "decline", "Too dear")
    assert (message.by, message.at, message.seen_at) == ("Ida Fenwick", LATER, None)
    entry = AuditEntry.objects.get(event="decline")
    assert (entry.note, entry.at, actor_words(entry.by)) == ("Too dear", LATER, "customer")
    asked = Outbox.objects.get(payload__mail="kitchen_declined")
    assert asked.payload["words"] == "Too dear"


def test_what_is_no_longer_on_offer_says_since_when(quote: Quote) -> None:
    late = LATER + timedelta(hours=1)
    declined, withdrawn = sent_make(), sent_make()
    quote_decline(quote_id=declined.pk, reason="", evidence=ApprovalEvidence(), at=LATER)
    quote_withdraw(quote_id=withdrawn.pk, by=BY, at=LATER)
    for closed, error, day, at in (
        (declined, QuoteDeclined, LATER, late),
        (withdrawn, QuoteWithdrawn, LATER, late),
        (quote, QuoteExpired, quote.valid_until, NOW + timedelta(days=400)),
    ):
        with pytest.raises(error) as refusal:
            by_phone(closed, at=at)
        assert refusal.value.params == {"day": day}


def test_a_second_no_changes_nothing(quote: Quote) -> None:
    for _ in range(2):
        quote_decline(quote_id=quote.pk, reason="Too dear", evidence=ApprovalEvidence(), at=LATER)
    assert Message.objects.count() == 1
    assert Outbox.objects.filter(payload__mail="kitchen_declined").count() == 1


def test_a_draft_cannot_be_approved(quote: Quote) -> None:
    draft = draft_make()
    with pytest.raises((TransitionNotAllowed, ContentDiffers)):
        approve(draft)


def test_the_kitchen_records_a_yes_by_phone_with_how_it_came(quote: Quote) -> None:
    given = quote_record_approval(
        quote_id=quote.pk, name="Ida Fenwick", reason="By phone to Maren, Friday noon", by=BY, at=LATER
    )
    assert (given.recorded_by, given.button, given.ip) == (BY, "", None)
    assert AuditEntry.objects.get(event="approve").note == "By phone to Maren, Friday noon"
    assert Order.objects.filter(quote=quote).exists()


def test_a_yes_by_phone_is_evidence_of_the_same_things(quote: Quote) -> None:
    pdf = quote_document(quote_id=quote.pk, at=NOW)
    given = Approval.objects.get(pk=by_phone(quote, name="  " + "x" * 130).pk)
    assert (given.content_sha256, given.pdf_sha256) == (quote.content_sha256, pdf.sha256)
    assert (given.statement, given.at) == (content_read(quote.content).statement, LATER)
    assert (given.name, given.link_id, given.user_agent) == ("x" * 120, None, "")
    entry = AuditEntry.objects.get(event="approve")
    assert (entry.by, entry.note) == (BY, "By phone to Maren")


@pytest.mark.parametrize("given", [lambda quote: approve(quote), lambda quote: by_phone(quote)])
def test_no_yes_is_recorded_before_the_quotes_pdf_is_stored(quote: Quote, given: Callable[[Quote], Approval]) -> None:
    quote = sent_make(pdf=False)
    with refused(PdfNotStored, match="still being made"):
        given(quote)
    assert not Approval.objects.filter(quote=quote).exists()
    quote = pdf_stored(quote)
    approval = given(quote)
    assert quote.pdf is not None
    assert approval.pdf_sha256 == quote.pdf.sha256


def test_the_audit_trail_of_the_customers_yes_has_no_note(quote: Quote) -> None:
    approve(quote)
    assert AuditEntry.objects.get(event="approve").note == "", "the customer's page takes no note"


def test_a_recorded_yes_needs_its_reason(quote: Quote) -> None:
    with refused(ReasonMissing, match="how the approval was given"):
        quote_record_approval(quote_id=quote.pk, name="Ida", reason=" ", by=BY, at=LATER)


def by_phone(quote: Quote, **changes: Any) -> Approval:
    wording = {"name": "Ida Fenwick", "reason": "By phone to Maren", "by": BY, "at": LATER}
    return quote_record_approval(quote_id=quote.pk, **{**wording, **changes})


def test_a_yes_by_phone_after_the_day_is_refused_before_the_sweep_and_after_it(quote: Quote) -> None:
    assert quote.valid_until is not None
    late = quote.valid_until + timedelta(seconds=1)
    with refused(QuoteExpired, match="was valid until"):
        by_phone(quote, at=late)
    quotes_expire(at=late)
    with pytest.raises(QuoteExpired):
        by_phone(quote, at=late)
    assert not Order.objects.exists()
    assert not Approval.objects.exists()


def test_a_yes_by_phone_in_the_last_moment_counts(quote: Quote) -> None:
    assert by_phone(quote, at=quote.valid_until).pk


def test_a_yes_by_phone_to_what_is_no_longer_on_offer_is_refused_as_one_on_the_page_is(quote: Quote) -> None:
    quote_decline(quote_id=quote.pk, reason="Too dear", evidence=ApprovalEvidence(), at=LATER)
    with pytest.raises(QuoteDeclined):
        by_phone(quote)
    other = sent_make()
    quote_withdraw(quote_id=other.pk, by=BY, at=LATER)
    with pytest.raises(QuoteWithdrawn):
        by_phone(other)
    assert not Order.objects.exists()


@pytest.mark.django_db
def test_a_yes_by_phone_to_a_draft_is_refused_in_a_sentence(client: Client) -> None:
    kitchen_make()
    draft = draft_make()
    client.force_login(user_make())
    address = reverse("quote-record-approval", args=[draft.pk])
    page = client.post(address, {"name": "Ida", "how": "phone"}).content.decode()
    assert "is draft, so you cannot" in page
    assert not Approval.objects.exists()


def test_a_second_yes_by_phone_returns_the_first_and_one_without_a_name_is_refused(quote: Quote) -> None:
    with pytest.raises(NameMissing):
        by_phone(quote, name=" ")
    first = by_phone(quote)
    assert by_phone(quote, name="Jonas Fenwick").pk == first.pk
    assert first.name == "Ida Fenwick"
    assert Order.objects.count() == 1


def _two_phones(database: RealDatabase) -> None:
    """Many approvals at once give one approval, one order, one number, and every request is told so."""
    wording = database.run(PROGRAM, "yes", "8").split()
    assert len(wording) == 8
    assert len(set(wording)) == 1, "everybody got the same approval"
    assert [row[0] for row in database.rows("SELECT COUNT(*) FROM orders_approval")] == [1]
    assert [row[0] for row in database.rows("SELECT number FROM orders_order")] == ["O-00001"]
    requested = database.rows("SELECT COUNT(*) FROM catalog_outbox WHERE kind = 'approval_pdf'")
    assert requested[0][0] == 1


def _yes_and_withdraw(database: RealDatabase) -> None:
    """Of an approval and a withdrawal at once exactly one happens, completely."""
    for outcome in database.run(PROGRAM, "both", "6").splitlines():
        assert outcome in ("approved order", "withdrawn nothing"), outcome


def _yes_and_send(database: RealDatabase, rounds: int) -> None:
    """Either the older revision is approved and the newer stays a draft, or the newer is out and the older is not."""
    for outcome in database.run(PROGRAM, "revised", str(rounds)).splitlines():
        assert outcome in ("approved draft", "withdrawn sent"), outcome


def test_eight_phones_at_once_make_one_order(real_database: RealDatabase) -> None:
    _two_phones(real_database)


def test_of_customers_who_approve_different_quotes_for_one_last_slot_one_wins(real_database: RealDatabase) -> None:
    for outcome in real_database.run(PROGRAM, "slot", "32", "2").splitlines():
        assert outcome == "1 31", outcome
    version = real_database.rows("SELECT version FROM orders_kitchenplan")
    assert version[0][0] == 2, "every approval moved the plan on by one"


def test_of_customers_who_choose_the_same_last_window_one_wins(real_database: RealDatabase) -> None:
    """Each could also have had the time asked for; nobody gets another time than the one chosen."""
    assert real_database.run(PROGRAM, "chosen", "8").split() == ["1", "True", "7"]
    assert real_database.rows("SELECT COUNT(*) FROM orders_approval WHERE window_start IS NOT NULL")[0][0] == 1


def test_a_yes_and_a_withdrawal_at_once_leave_one_of_them(real_database: RealDatabase) -> None:
    _yes_and_withdraw(real_database)


def test_a_yes_and_the_next_revision_at_once_leave_one_of_them(real_database: RealDatabase) -> None:
    # On SQLite whoever writes has the database alone, so a race is decided as soon as it begins.
    _yes_and_send(real_database, 24 if real_database.postgres else 3)


def relabeled(**changes: Any) -> None:
    """Change what the label of the cake's walnuts says."""
    Ingredient.objects.filter(code="walnut").update(**changes)
    catalog_changed()


def test_nobody_approves_an_allergen_statement_that_is_not_true_any_more(quote: Quote) -> None:
    relabeled(allergens=["walnuts", "peanuts"])
    with refused(KitchenMustTell, "Nothing was approved: the allergens of some items changed"):
        approve(quote)
    with refused(AllergensChanged, "Send a revision") as refusal:
        quote_record_approval(quote_id=quote.pk, name="Ida", reason="by phone", by=BY, at=NOW)
    assert refusal.value.params["products"] == ["Walnut sponge cake, two tiers"]
    assert not Order.objects.exists()
    relabeled(allergens=["walnuts"])
    assert approve(quote).pk


def test_a_label_that_warns_of_traces_by_now_stops_the_approval(quote: Quote) -> None:
    answers = Ingredient.objects.get(code="walnut").allergen_answers
    relabeled(allergen_answers=answers | {"almonds": "may"})
    with refused(KitchenMustTell, "Nothing was approved: the allergens of some items changed"):
        approve(quote)


def test_a_label_that_was_read_since_and_holds_nothing_new_stops_nobody(quote: Quote) -> None:
    relabeled(note="read again in January")
    assert approve(quote).pk
