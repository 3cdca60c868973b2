"""What was worked out from a Book, as long as the Book lives."""

import weakref
from typing import Generic, TypeVar

from costing.contract import Book

K = TypeVar("K")
V = TypeVar("V")


class KnownByBook(Generic[K, V]):
    """Results by key for each Book object; a Book's results go with it. The key is the Book's identity.

    With more than ``most`` of them it begins anew, so that amounts somebody types do not pile up: whoever reads keeps
    what was just found.
    """

    def __init__(self, most: int | None = None) -> None:
        self._most = most
        self._books: dict[int, tuple[weakref.ref[Book], dict[K, V]]] = {}

    def of(self, book: Book) -> dict[K, V]:
        """Return what is known of a Book, to be read and added to."""
        key = id(book)
        cached = self._books.get(key)
        if cached is not None and cached[0]() is book:
            if self._most is not None and len(cached[1]) > self._most:
                cached[1].clear()
            return cached[1]
        found: dict[K, V] = {}
        self._books[key] = (weakref.ref(book, lambda _: self._books.pop(key, None)), found)
        return found
