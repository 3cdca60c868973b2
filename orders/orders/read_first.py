"""What is read before an order is made or handed over: a customer's unread messages, and needs in the kitchen note."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any, Final

from catalog.records.versions import version_mark
from orders.approvals.models import Message
from orders.orders.models import Order
from orders.quotes.draft.message_needs import messages_open, messages_unread
from orders.quotes.draft.note_needs import WordsOpen, order_note_open
from orders.records.models import AuditEntry
from orders.records.need_errors import KitchenNoteUnread, MessagesUnread
from orders.records.states import OrderStatus

#: States in which nobody has taken the order over yet.
_NOT_OUT_YET: Final = frozenset({OrderStatus.CONFIRMED, OrderStatus.IN_PRODUCTION})


@dataclass(frozen=True, slots=True)
class ReadFirst:
    """Messages without a statement, and the kitchen note where it may name a need that is not recorded.

    ``messages`` lacks those that whoever started production has read: the owner still states what they say. ``note`` is
    None where no tick is asked for it: it names none, or whoever started production has read just this.
    """

    messages: tuple[Message, ...] = ()
    note: WordsOpen | None = None

    @property
    def note_mark(self) -> str:
        """A mark of the note and of what it names: whoever ticks it has read just this."""
        return "" if self.note is None else words_mark(self.note)

    @property
    def params(self) -> dict[str, Any]:
        """What was read, for the order's history."""
        read = {"read": [one.pk for one in self.messages]} if self.messages else {}
        return read | ({"note_read": self.note_mark} if self.note is not None else {})


def words_mark(words: WordsOpen) -> str:
    """Return a mark of words and of the needs they name."""
    return version_mark([words.text, *map(str, words.missing.items())])


def call_open(note: str, order: Order) -> WordsOpen | None:
    """Return the words about a call with the customer, where they may name a need that is not recorded."""
    return order_note_open(note, order.quote.inquiry)


def note_unrecorded(order: Order) -> WordsOpen | None:
    """Return an order's note for the kitchen where it may name a need that its inquiry does not have."""
    if order.status not in _NOT_OUT_YET:
        return None
    return order_note_open(order.note, order.quote.inquiry)


def read_first(order: Order) -> ReadFirst:
    """Return what is read before an order goes on; it comes with its quote, inquiry and customer."""
    if order.status not in _NOT_OUT_YET:
        return ReadFirst()
    inquiry = order.quote.inquiry
    found = ReadFirst(messages_unread(inquiry, messages_open([inquiry]).get(inquiry.pk, ())), note_unrecorded(order))
    if not found.messages and found.note is None:
        return found
    rows = AuditEntry.objects.filter(document="order", document_pk=order.pk, event="start")
    started = list(rows.values_list("params", flat=True))
    read = {key for params in started for key in params.get("read", ())}
    noted = found.note_mark in {params.get("note_read") for params in started}
    messages = tuple(one for one in found.messages if one.pk not in read)
    return ReadFirst(messages, None if noted else found.note)


def check_read_first(found: ReadFirst, read: Collection[int], note_read: str) -> None:
    """Refuse to go on while something is not read; ``read`` are keys of messages, ``note_read`` the note's mark.

    Raises MessagesUnread, KitchenNoteUnread.
    """
    if missed := next((one for one in found.messages if one.pk not in read), None):
        raise MessagesUnread(place="read", text=missed.text[:240])
    if found.note is not None and found.note_mark != note_read:
        raise KitchenNoteUnread(place="note_read", text=found.note.text[:240])
