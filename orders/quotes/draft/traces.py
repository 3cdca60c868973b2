"""What the kitchen says about traces today, where a sent quote says something else."""

from catalog.kitchen.trace_words import trace_words
from costing.contract import Book
from orders.documents.content import QuoteContent


def traces_since(content: QuoteContent, book: Book) -> str:
    """Return what is said about traces today where a sent quote says something else; empty where it says the same."""
    today = trace_words(book.kitchen.described.cross_contact)
    return "" if today == trace_words(content.cross_contact) else today
