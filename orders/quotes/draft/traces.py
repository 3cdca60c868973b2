"""What the kitchen says about traces today, where a sent quote says something else."""

import re
from typing import Final

from catalog.kitchen.trace_words import trace_words
from catalog.pantry.plain_text import plain_text
from costing.contract import Book
from orders.documents.content import QuoteContent

#: A number with its decimals, a word, or the end of a sentence: the rest changes nothing that is said.
_MEANT: Final = re.compile(r"\d+(?:[.,]\d+)*|[^\W\d_]+|[.!?;]")


def traces_since(content: QuoteContent, book: Book) -> str:
    """Return what is said about traces today where a sent quote says something else; empty where it says the same.

    Capitals, commas, dashes and spaces between words make no other statement.
    """
    today = trace_words(book.kitchen.described.cross_contact)
    return "" if _meant(today) == _meant(trace_words(content.cross_contact)) else today


def _meant(words: str) -> list[str]:
    return _MEANT.findall(plain_text(words).casefold())
