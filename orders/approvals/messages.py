"""Customers' messages: an approval that was tried, and what somebody states of what was written."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import QuerySet

from catalog.pantry.avoid_words import goes_on
from catalog.pantry.other_words import may_name_any_need
from orders.approvals.models import Message
from orders.quotes.draft.message_answers import check_answer, is_recognized, list_seen, of_plain
from orders.quotes.draft.message_needs import HELD, NO_NEED, RECORDED, REPLIED, held_of, messages_open
from orders.quotes.mails import quote_mail_ask, quote_mail_ask_for
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.actors import CUSTOMER
from orders.records.need_errors import NamesKnown
from orders.records.states import QuoteStatus
from orders.records.transitions import audit

A_DAY: Final = timedelta(days=1)
#: Most messages about one quote within a day.
MESSAGES_A_DAY: Final = 20
#: Most of them where one more may be about an allergy: what could harm somebody is not turned away as soon.
NEEDS_A_DAY: Final = 40


def are_too_many(recent: int, words: str) -> bool:
    """Return whether a message is one too many beside so many ``recent`` ones [count] of a day."""
    if recent < MESSAGES_A_DAY:
        return False
    return recent >= NEEDS_A_DAY or not (may_name_any_need(words) or goes_on(words))


@transaction.atomic(durable=True)
def approval_held(
    *,
    quote_id: int,
    name: str,
    words: str,
    reasons: Sequence[str],
    at: datetime,
    answer: Mapping[str, Any] | None = None,
) -> Message | None:
    """Record that somebody wanted to approve, and could not because the kitchen has to look first; inform the kitchen.

    Their wish is a message, the same once more within a day is one; None where the day's messages are used up, or the
    quote is not waiting any more. What stops the approval is a mail to the owner, once for each of the ``reasons``; a
    mail with the wish alone where nobody can say. ``answer`` is what was in the way in the kitchen's plan, as
    :class:`WindowAnswered` is stored.

    Raises Quote.DoesNotExist.
    """
    quote = quote_locked(quote_id)
    if quote.status != QuoteStatus.SENT:
        return None
    for reason in reasons:
        quote_mail_ask_for("kitchen_stopped", quote, at=at, words=reason)
    text = words.strip()
    recent = list(quote.messages.filter(kind=Message.Kind.CHANGE, at__gt=at - A_DAY))
    if (same := next((one for one in recent if one.text == text), None)) is not None:
        return same
    if len(recent) >= MESSAGES_A_DAY:
        return None
    message = Message.objects.create(quote=quote, kind=Message.Kind.CHANGE, text=text, by=name.strip()[:120], at=at)
    params = {"message": message.pk} | ({"answer": dict(answer)} if answer else {})
    audit(quote, HELD, by=CUSTOMER, at=at, params=params)  # the words are the service's, not theirs
    if not reasons:
        quote_mail_ask("kitchen_must_look", quote, at=at, words=text)
    return message


@transaction.atomic(durable=True)
def messages_mark_read(*, quote_id: int, at: datetime, messages: Collection[int] | None = None) -> int:
    """Mark what has no words of a customer as read: approvals that were tried, declines without a reason; count them.

    ``messages`` are those that were shown, about any revision of the quote; all where it is None. What a customer
    wrote ends by what somebody states of it (:func:`message_no_need`).

    Raises Quote.DoesNotExist.
    """
    found = unread_of_number(Quote.objects.get(pk=quote_id), messages)
    return Message.objects.filter(pk__in=[one.pk for one in _wordless(found)]).update(seen_at=at)


def _wordless(messages: Iterable[Message]) -> list[Message]:
    """Return those of some messages that have no words of a customer."""
    every = list(messages)
    held = held_of(every)
    return [one for one in every if one.pk in held or not one.text]


def messages_replied(
    quote: Quote, shown: Collection[int] | None, *, nothing_named: bool, by: str, at: datetime
) -> None:
    """Note, in the caller's transaction, that messages were replied to: those ``shown``, or all where it is None.

    With ``nothing_named`` somebody states that they say nothing about allergies or diets: that ends those in which
    nothing is recognized. The others wait for their answer.
    """
    unread = list(unread_of_number(quote, shown).select_related("quote__inquiry"))
    ended = _wordless(unread)
    for one in unread:
        if one in ended:
            continue
        inquiry = one.quote.inquiry
        ends = nothing_named and not is_recognized(one.text, inquiry)
        audit(
            one.quote,
            NO_NEED if ends else REPLIED,
            by=by,
            at=at,
            note=list_seen(one.text, inquiry),
            params={"message": one.pk},
        )
        ended += [one] if ends else []
    Message.objects.filter(pk__in=[one.pk for one in ended]).update(seen_at=at)


def unread_of_number(quote: Quote, shown: Collection[int] | None = None) -> QuerySet[Message]:
    """Return the messages about any revision of a quote that nobody has read; only those ``shown`` where given."""
    found = Message.objects.filter(quote__in=Quote.objects.filter(number=quote.number), seen_at=None)
    return found if shown is None else found.filter(pk__in=shown)


def held_mark_read(quote: Quote, *, at: datetime) -> None:
    """Mark what says that somebody wanted to approve as read, in the caller's transaction: now it is approved."""
    found = list(unread_of_number(quote))
    if held := held_of(found):
        Message.objects.filter(pk__in=held).update(seen_at=at)


@transaction.atomic(durable=True)
def message_no_need(
    *,
    quote_id: int,
    message_id: int,
    by: str,
    at: datetime,
    recorded: bool = False,
    no_guest: bool = False,
    compared: str = "",
) -> None:
    """Record what somebody states of a customer's message: that it names nothing that is to be recorded.

    With ``recorded`` that what it names is in the list, whose mark is ``compared``; with ``no_guest`` that the needs
    recognized in it are those of nobody at the event. Either way it is read. A second time changes nothing.

    Raises
    ------
    NeedsNotInList, ListEmpty
        If it is not so, by what is recognized in the message and by the list.
    NotCompared, ListChanged
        If nobody compared it with the list, or not with the list as it is now.
    NamesNeeds, NamesReaction
        If needs are recognized in it and the list does not have them, or a reaction to what the list does not have,
        and ``no_guest`` is not stated.
    NamesKnown
        If anything is recognized in it, and neither is stated.
    Quote.DoesNotExist, Message.DoesNotExist
        If there is none.
    """
    quote = quote_locked(quote_id)
    inquiry = quote.inquiry
    message = Message.objects.exclude(kind=Message.Kind.REPLY).get(pk=message_id, quote=quote)
    wrote = messages_open([inquiry]).get(quote.inquiry_id, ())
    one = next((one for one in wrote if one.message == message.pk), None)
    if one is None and message.seen_at is not None:
        return
    recognized = one is not None or is_recognized(message.text, inquiry)
    one = one or of_plain(message, inquiry)
    check_answer(one, inquiry, recorded=recorded, no_guest=no_guest, compared=compared)
    if recognized and not (recorded or no_guest):
        raise NamesKnown(text=message.text[:240])
    params = {"message": message.pk, **({"no_guest": list(one.lacking)} if one.lacking else {})}
    note = list_seen(message.text, inquiry)
    audit(quote, RECORDED if recorded else NO_NEED, by=by, at=at, note=note, params=params)
    Message.objects.filter(pk=message.pk, seen_at=None).update(seen_at=at)
