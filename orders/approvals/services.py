"""The customer's answers: an approval, a decline, a change asked for; and the kitchen's replies."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from catalog.book.selectors import book_unpriced
from orders.approvals.errors import KitchenMustAnswer, NeedsNotInQuote, TracesChanged
from orders.approvals.messages import A_DAY, are_too_many, held_mark_read, messages_replied
from orders.approvals.models import Approval, Message
from orders.approvals.placing import content_approved, in_no_transaction, place_take, with_place
from orders.approvals.selectors import why_closed
from orders.approvals.signing import check_signed, signed_name_read
from orders.cooling_log.common_batches import together_answer, together_carried
from orders.documents.content import QuoteContent, sha256_of
from orders.documents.store import pdf_ask
from orders.inquiries.services import inquiry_at
from orders.orders.amendments import order_amend, order_to_amend
from orders.orders.services import order_from_quote
from orders.planning.slots import Slot
from orders.quotes.amendments.services import amendment_over
from orders.quotes.cooling.measuring_content import Measuring
from orders.quotes.cooling.services import check_approval
from orders.quotes.draft.allergens import since_quote
from orders.quotes.draft.claims import check_note
from orders.quotes.draft.fine_words import check_fine
from orders.quotes.draft.message_answers import words_noted
from orders.quotes.draft.message_needs import messages_open, reason_needs
from orders.quotes.mails import quote_mail_ask
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.actors import customer
from orders.records.errors import (
    AllergensChanged,
    ContentDiffers,
    KitchenMustTell,
    MessageMissing,
    PdfNotStored,
    ReasonMissing,
    TooManyMessages,
    TransitionNotAllowed,
)
from orders.records.need_errors import MessageUnanswered, NeedInReason
from orders.records.states import QuoteEvent, QuoteStatus
from orders.records.transitions import transition

#: What is measured of batches for several orders; None where nothing is asked.
_Shared = Measuring | None


@dataclass(frozen=True, slots=True)
class ApprovalEvidence:
    """Evidence of an answer as the server saw it: link, IP address, browser. Never the token."""

    link_id: int | None = None
    ip: str | None = None
    user_agent: str = ""


@in_no_transaction
def quote_approve(
    *,
    quote_id: int,
    content_sha256: str,
    name: str,
    evidence: ApprovalEvidence,
    at: datetime,
    chosen: int | None = None,
    only_name: bool = False,
) -> Approval:
    """Record the customer's approval: evidence, order, mail and PDF in one commit. A second one returns the first.

    Its place in the kitchen's plan is looked for before the transaction, and taken in it. ``chosen`` is the number of
    the window, where the quote offers several: 0 is the one that was asked for.

    Where the name holds more than a name, the kitchen gets it as a message (:func:`signed_name_read`); ``only_name`` is
    what the customer states of one that is not theirs on record.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    NameMissing, NameNamesNeed
        If nobody signed, or the name names a need: then it has to be a message (:func:`quote_ask_change`).
    QuoteReplaced, NewerApproved, QuoteWithdrawn, QuoteDeclined, QuoteExpired, QuoteEventOver
        If it can no longer be approved; an overdue quote counts as expired.
    ContentDiffers
        If the content shown differs from the quote's content.
    PdfNotStored
        If its PDF, whose hash is part of the evidence, is not stored yet.
    KitchenMustCheck
        If something of it breaks the cooling rule by now, and the owner has not recorded what is measured instead; or
        may never get cold by now.
    KitchenMustTell
        If a dessert holds, or may hold, an allergen by now that the quote does not name.
    KitchenMustAnswer
        If a need was recorded since and it does not answer it, or a message may name one and nobody has answered it.
    KitchenMustLook
        If the catalog does not say what is in it, so that it cannot be judged.
    TimeTaken, TimeUnsure
        If it cannot be made beside what is promised by now, or no place was found for it.
    NoSuchTime
        If the window is none of those it offers.
    TransitionNotAllowed, ChangedMeanwhile
        If it was never sent, or its status was changed first.
    """
    approve = partial(_quote_approve, quote_id, content_sha256, name, only_name, evidence, at, chosen)
    return with_place(approve, quote_id=quote_id, chosen=chosen, at=at)


@transaction.atomic(durable=True)
def _quote_approve(
    quote_id: int,
    content_sha256: str,
    name: str,
    only_name: bool,
    evidence: ApprovalEvidence,
    at: datetime,
    chosen: int | None,
    found: Slot | None,
    anew: bool,
) -> Approval:
    quote = quote_locked(quote_id)
    check_signed(quote, name, by_customer=True)
    given = _given(quote)
    if given is not None and given.content_sha256 == content_sha256:
        return given
    _still_open(quote, QuoteEvent.APPROVE, at)
    if content_sha256 != quote.content_sha256 or sha256_of(quote.content) != content_sha256:
        raise ContentDiffers()
    content = content_approved(quote, chosen, at)
    approval = Approval(
        button=content.button,
        name=name.strip()[:120],
        link_id=evidence.link_id,
        ip=evidence.ip,
        user_agent=evidence.user_agent[:300],
    )
    return _approved(quote, content, approval, (found, anew), only_name, by=_customer(evidence), at=at)


@in_no_transaction
def quote_record_approval(
    *,
    quote_id: int,
    name: str,
    reason: str,
    by: str,
    at: datetime,
    together: _Shared = None,
    chosen: int | None = None,
    their_words: str = "",
) -> Approval:
    """Record an approval by phone or on paper, and how it was given.

    ``their_words`` beside it are a message of theirs, of which somebody states what it names.
    ``together`` is what is measured where a batch breaks the cooling rule as it is then made for several orders;
    ``chosen`` is as in :func:`quote_approve`.

    Raises
    ------
    ReasonMissing
        If the reason does not say how the approval was given.
    CoolingRuleBroken
        If something of it breaks the cooling rule by now, without a record.
    NeverColdByNow
        If something of it may never get cold by now.
    AllergensChanged
        If a dessert holds, or may hold, an allergen by now that the quote does not name.
    NeedInReason
        If the reason, or what they said, names what a guest cannot eat, and no need is recorded for it.
    NeedsNotInQuote, MessageUnanswered
        If a need was recorded since and it does not answer it, or a message may name one and nobody has answered it.
    NotJudgedNow
        If the catalog does not say what is in it, so that it cannot be judged.
    BrokenTogether
        If it breaks the cooling rule as it would be made with other orders, and nothing says what is measured.
    SlotTaken, SlotUndecided
        If it cannot be made beside what is promised by now, or no place was found for it.
    OrderError
        For every reason of :func:`quote_approve`.
    """
    approve = partial(_quote_record_approval, quote_id, name, (reason, their_words), together, by, at, chosen)
    return with_place(approve, quote_id=quote_id, chosen=chosen, at=at)


@transaction.atomic(durable=True)
def _quote_record_approval(
    quote_id: int,
    name: str,
    words: tuple[str, str],
    together: _Shared,
    by: str,
    at: datetime,
    chosen: int | None,
    found: Slot | None,
    anew: bool,
) -> Approval:
    quote, (reason, their_words) = quote_locked(quote_id), words
    check_signed(quote, name, by_customer=False)
    if not reason.strip():
        raise ReasonMissing()
    given = _given(quote)
    if given is not None:
        return given
    _still_open(quote, QuoteEvent.APPROVE, at)
    if needs := reason_needs(reason, quote.inquiry) or reason_needs(their_words, quote.inquiry):
        raise NeedInReason(what=str(quote), needs=needs)
    approval = Approval(button="", name=name.strip()[:120], recorded_by=by)
    content = content_approved(quote, chosen, at)
    approval = _approved(quote, content, approval, (found, anew), True, by=by, at=at, note=reason.strip())
    together_answer(quote.order, together, by=by, at=at, new=quote.amends_id is None)
    words_noted(quote, their_words, by=name, at=at)
    return approval


def _customer(evidence: ApprovalEvidence) -> str:
    return customer(evidence.link_id)


def _given(quote: Quote) -> Approval | None:
    """Return the quote's approval; one that still waits for its answer has none."""
    return None if quote.status == QuoteStatus.SENT else Approval.objects.filter(quote=quote).first()


def _still_open(quote: Quote, event: QuoteEvent, at: datetime) -> None:
    closed = why_closed(quote, at)
    if closed is not None:
        raise closed
    if quote.sent_at is None:
        raise TransitionNotAllowed(what=str(quote), status=quote.status, event=event)


def _check_allergens(quote: Quote, content: QuoteContent, *, by_customer: bool) -> None:
    """Refuse what would be approved on an allergen statement that is not true any more.

    That it can be judged was asked before, with the cooling.
    """
    if wrote := messages_open([quote.inquiry]).get(quote.inquiry_id):
        raise KitchenMustAnswer() if by_customer else MessageUnanswered(what=str(quote), text=wrote[0].text[:240])
    since = since_quote(content, quote.inquiry, book_unpriced(line.product for line in content.lines))
    if changed := [one.name for one in since.changes if one.stops]:
        raise KitchenMustTell() if by_customer else AllergensChanged(what=str(quote), products=changed)
    if needs := [one.need for one in since.unanswered]:
        raise KitchenMustAnswer() if by_customer else NeedsNotInQuote(what=str(quote), needs=needs)
    if since.traces_stop:
        raise KitchenMustTell() if by_customer else TracesChanged(what=str(quote))


def _approved(
    quote: Quote,
    content: QuoteContent,
    approval: Approval,
    place: tuple[Slot | None, bool],
    only_name: bool,
    *,
    by: str,
    at: datetime,
    note: str = "",
) -> Approval:
    """Approve; ``place`` is what was found in the plan, and whether it may be looked for here."""
    by_customer = not approval.recorded_by
    if quote.pdf is None:
        raise PdfNotStored(what=str(quote))
    check_approval(quote, by_customer=by_customer)
    _check_allergens(quote, content, by_customer=by_customer)
    amended = None if quote.amends_id is None else order_to_amend(quote, content, by=by, at=at)
    chosen = quote.window_chosen
    transition(quote, QuoteEvent.APPROVE, by=by, at=at, note=note, answered_at=at, window_chosen=chosen)
    approval.quote, approval.at = quote, at
    approval.content_sha256 = quote.content_sha256
    approval.pdf_sha256 = quote.pdf.sha256
    approval.statement = content.statement
    if chosen is not None:
        approval.window_start, approval.window_end = content.event.window_start, content.event.window_end
    approval.save(force_insert=True)
    pdf_ask(
        kind="approval_pdf",
        payload={"approval": approval.pk, "mail": "approved" if amended is None else "change_approved"},
        about=f"quote:{quote.pk}",
        what=gettext("%(quote)s, approved") % {"quote": quote},
        at=at,
    )
    quote_mail_ask("kitchen_approved" if amended is None else "kitchen_change_approved", quote, at=at)
    held_mark_read(quote, at=at)
    signed_name_read(quote, approval.name, only_name=only_name, by_customer=by_customer, by=by, at=at)
    place_take(quote, content, place[0], anew=place[1], by_customer=by_customer, at=at)
    if chosen is not None:
        inquiry_at(quote.inquiry, content, by=by, at=at)
    # Last, because every other approval waits from its number to the commit.
    if amended is None:
        order = order_from_quote(quote=quote, content=content, by=by, at=at)
    else:
        order = order_amend(order=amended, quote=quote, content=content, by=by, at=at)
    together_carried(order, at=at)
    return approval


@transaction.atomic(durable=True)
def quote_decline(*, quote_id: int, reason: str, evidence: ApprovalEvidence, at: datetime) -> Quote:
    """Record the customer's decline, with the reason if there is one. A second one changes nothing.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    QuoteReplaced, NewerApproved, QuoteWithdrawn, QuoteExpired
        If it can no longer be answered.
    TransitionNotAllowed, ChangedMeanwhile
        If it was approved or never sent, or its status was changed first.
    """
    quote = quote_locked(quote_id)
    if quote.status == QuoteStatus.DECLINED:
        return quote
    _still_open(quote, QuoteEvent.DECLINE, at)
    by = _customer(evidence)
    transition(quote, QuoteEvent.DECLINE, by=by, at=at, note=reason.strip(), answered_at=at)
    amendment_over(quote)
    Message.objects.create(quote=quote, kind=Message.Kind.DECLINE, text=reason.strip(), by=_name(quote), at=at)
    quote_mail_ask("kitchen_declined", quote, at=at, words=reason.strip())
    quote_mail_ask("declined", quote, at=at, words=reason.strip())
    return quote


@transaction.atomic(durable=True)
def quote_ask_change(
    *, quote_id: int, text: str, evidence: ApprovalEvidence, at: datetime, wants: Mapping[str, Any] | None = None
) -> Message:
    """Record a change the customer asks for; the quote stays as it is. The same text sent twice is one message.

    ``wants`` are the counts that an order should have: ``units`` by code of a dessert, and ``guests``. The kitchen can
    begin the change with them (:func:`amendment_begin`).

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    MessageMissing
        If the message is empty.
    TooManyMessages
        If there were too many within a day (:func:`are_too_many`).
    """
    words = text.strip()
    if not words:
        raise MessageMissing()
    quote = quote_locked(quote_id)
    recent = list(quote.messages.filter(kind=Message.Kind.CHANGE, at__gt=at - A_DAY))
    if recent and recent[-1].text == words:
        return recent[-1]
    if are_too_many(len(recent), words):
        raise TooManyMessages(count=len(recent))
    facts: dict[str, Any] = {"text": words, "wants": dict(wants) if wants else None, "by": _name(quote), "at": at}
    message = Message.objects.create(quote=quote, kind=Message.Kind.CHANGE, **facts)
    quote_mail_ask("kitchen_change", quote, at=at, words=words)
    quote_mail_ask("change_received", quote, at=at, words=words)
    return message


@transaction.atomic(durable=True)
def quote_reply(
    *,
    quote_id: int,
    text: str,
    by: str,
    at: datetime,
    read: Sequence[str] = (),
    shown: Collection[int] | None = None,
    nothing_named: bool = False,
) -> Message:
    """Answer the customer's messages by mail: those ``shown``, or all where it is None.

    A reply says nothing of what guests cannot eat: only with ``nothing_named`` do messages end by it
    (:func:`messages_replied`).

    ``read`` are the marks of what somebody has checked of its words (:class:`FineWords`).

    Raises Quote.DoesNotExist; MessageMissing if it is empty; NoteUnproven if it claims what the desserts or the kitchen
    do not bear out; TextUnread if it may say what is for guests, and is not ``read``.
    """
    words = text.strip()
    if not words:
        raise MessageMissing()
    quote = quote_locked(quote_id)
    check_note(words, quote, place="text")
    check_fine(words, quote, read)
    messages_replied(quote, shown, nothing_named=nothing_named, by=by, at=at)
    message = Message.objects.create(quote=quote, kind=Message.Kind.REPLY, text=words, by=by, at=at, seen_at=at)
    quote_mail_ask("reply", quote, at=at, words=words)
    return message


def _name(quote: Quote) -> str:
    return quote.inquiry.customer.name
