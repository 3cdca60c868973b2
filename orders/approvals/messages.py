"""Customers' messages: an approval that was tried, and what was written is read, or found to name no need."""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import QuerySet

from catalog.pantry.avoid_words import goes_on
from catalog.pantry.other_words import may_name_any_need
from orders.approvals.models import Message
from orders.quotes.draft.message_needs import HELD, NO_NEED, RECORDED, check_answer, held_of, messages_open
from orders.quotes.mails import quote_mail_ask, quote_mail_ask_for
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.actors import CUSTOMER
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
    """Mark the messages about a quote, in any of its revisions, as read; return how many there were.

    ``messages`` are those that were shown; all where it is None.

    Raises Quote.DoesNotExist.
    """
    return unread_of_number(Quote.objects.get(pk=quote_id), messages).update(seen_at=at)


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
    *, quote_id: int, message_id: int, by: str, at: datetime, recorded: bool = False, no_guest: bool = False
) -> None:
    """Record that a customer's message, which may name what a guest cannot eat, names nothing that is to be recorded.

    With ``recorded`` that what it names is among the needs; with ``no_guest`` that the needs recognized in it are those
    of nobody at the event. Either way it is read. A second time changes nothing.

    Raises
    ------
    NeedsNotInList, ListEmpty
        If it is not so, by what is recognized in the message and by the list.
    NamesNeeds
        If needs are recognized in it, the list does not have them, and ``no_guest`` is not stated.
    Quote.DoesNotExist, Message.DoesNotExist
        If there is none.
    """
    quote = quote_locked(quote_id)
    message = Message.objects.exclude(kind=Message.Kind.REPLY).get(pk=message_id, quote=quote)
    wrote = messages_open([quote.inquiry]).get(quote.inquiry_id, ())
    if one := next((one for one in wrote if one.message == message.pk), None):
        check_answer(one, quote.inquiry, recorded=recorded, no_guest=no_guest)
        params = {"message": message.pk, **({"no_guest": list(one.lacking)} if one.lacking else {})}
        audit(quote, RECORDED if recorded else NO_NEED, by=by, at=at, params=params)
    Message.objects.filter(pk=message.pk, seen_at=None).update(seen_at=at)
