"""Customers' messages are read, or found to name nothing that guests cannot eat."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet

from orders.approvals.models import Message
from orders.quotes.draft.message_needs import NO_NEED, RECORDED, check_answer, held_of, messages_open
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.transitions import audit


@transaction.atomic(durable=True)
def messages_mark_read(*, quote_id: int, at: datetime, messages: Collection[int] | None = None) -> int:
    """Mark the messages about a quote, in any of its revisions, as read; return how many there were.

    ``messages`` are those that were shown; all where it is None.

    Raises Quote.DoesNotExist.
    """
    found = unread_of_number(Quote.objects.get(pk=quote_id))
    return (found if messages is None else found.filter(pk__in=messages)).update(seen_at=at)


def unread_of_number(quote: Quote) -> QuerySet[Message]:
    """Return the messages about any revision of a quote that nobody has read."""
    return Message.objects.filter(quote__in=Quote.objects.filter(number=quote.number), seen_at=None)


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
