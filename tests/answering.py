"""What somebody states of a customer's message, in tests: with the tick that it was compared with the list as it is."""

from datetime import datetime

from orders.approvals.messages import message_no_need
from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.quotes.draft.message_answers import list_mark
from tests.factories import BY, NOW


def mark_of(message: Message) -> str:
    """Return the mark of the list that a message is compared with."""
    return list_mark(Inquiry.objects.get(quotes=message.quote_id))


def message_answered(message: Message, *, at: datetime = NOW, **how: bool) -> None:
    """State of a message that its needs are ``recorded``, or else that it names none."""
    compared = mark_of(message) if how.get("recorded") else ""
    message_no_need(quote_id=message.quote_id, message_id=message.pk, by=BY, at=at, compared=compared, **how)
