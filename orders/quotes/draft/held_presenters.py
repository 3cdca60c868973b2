"""That a customer wanted to approve and could not: what was in the way, in words, and where it can be settled."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.book.selectors import book_current
from catalog.records.errors import CannotPrice
from orders.approvals.models import Message
from orders.planning.answers import WindowAnswered, read
from orders.planning.in_the_way_presenters import Way, short_sentences, ways_on
from orders.quotes.draft.message_needs import held_of


@dataclass(frozen=True, slots=True)
class HeldShown:
    """The message, what was short in the kitchen's plan, and the pages on which it can be added.

    Both are empty where something else was in the way; the message's own text says that.
    """

    message: Message
    short: tuple[str, ...] = ()
    ways: tuple[Way, ...] = ()


def held_shown(messages: Iterable[Message]) -> tuple[HeldShown, ...]:
    """Write those of some messages that say that somebody wanted to approve; one or two queries."""
    every = list(messages)
    held = held_of(every)
    return tuple(_shown(one, held[one.pk]) for one in every if one.pk in held)


def _shown(message: Message, noted: Mapping[str, Any]) -> HeldShown:
    answer: WindowAnswered | None = read(noted["answer"]) if noted.get("answer") else None
    try:
        book = book_current() if answer is not None else None
    except CannotPrice:
        book = None
    if answer is None or book is None:
        return HeldShown(message)
    return HeldShown(message, short_sentences(answer.in_the_way, book), ways_on(answer.in_the_way, book))
