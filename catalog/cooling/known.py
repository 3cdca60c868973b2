"""What was worked out from a Book, as long as the Book lives."""

import weakref
from typing import Generic, TypeVar

from costing.contract import Book

K = TypeVar("K")
V = TypeVar("V")


class KnownByBook(Generic[K, V]):
    """Results by key for each Book object; a Book's results go with it. The key is the Book's identity."""

    def __init__(self) -> None:
        self._books: dict[int, tuple[weakref.ref[Book], dict[K, V]]] = {}

    def of(self, book: Book) -> dict[K, V]:
        """Return what is known of a Book, to be read and added to."""
        key = id(book)
        cached = self._books.get(key)
        if cached is not None and cached[0]() is book:
            return cached[1]
        found: dict[K, V] = {}
        self._books[key] = (weakref.ref(book, lambda _: self._books.pop(key, None)), found)
        return found
