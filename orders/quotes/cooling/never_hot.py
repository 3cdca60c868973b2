"""What of a sent quote counts as cold by the owner's word, and of which steps nobody has said so."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, TypeVar

from catalog.cooling.never_hot_claims import NeverHotClaim, cold_by_silence, never_hot_claims
from costing.contract import Book
from orders.documents.content import QuoteContent
from orders.quotes.models import Quote
from orders.records.models import AuditEntry

#: The event of the histories of quotes which says who answered that a step is cold.
NEVER_HOT_READ: Final = "never_hot_read"

Key = TypeVar("Key")
#: Steps that nobody answered for, each with what it is a step of.
OpenSteps = list[tuple[NeverHotClaim, str]]


def claims_sold(content: QuoteContent, book: Book) -> tuple[NeverHotClaim, ...]:
    """Return such recipes of the products of a sent quote that the Book still has, all of whose steps are answered."""
    claims = never_hot_claims(_known([line.product for line in content.lines], book), book)
    unread = [claim for claim, _ in _unread(claims)]
    return tuple(claim for claim in claims if claim not in unread)


def unanswered_steps(products: Iterable[str], book: Book) -> OpenSteps:
    """Return the steps, each with its recipe, for which nobody has answered in any quote that they are cold."""
    return _unread(cold_by_silence(_known(products, book), book))


def steps_open(tables: Mapping[Key, Iterable[str]], book: Book) -> dict[Key, OpenSteps]:
    """Return the same for the products of several tables, of those that have any; one query."""
    claims = {key: cold_by_silence(_known(products, book), book) for key, products in tables.items()}
    unread = _unread([claim for found in claims.values() for claim in found])
    each = {key: [(claim, text) for claim, text in unread if claim in found] for key, found in claims.items()}
    return {key: steps for key, steps in each.items() if steps}


def _unread(claims: Sequence[NeverHotClaim]) -> OpenSteps:
    every = {claim.mark(text): (claim, text) for claim in claims for text in claim.asked}
    if not every:
        return []
    entries = AuditEntry.objects.filter(event=NEVER_HOT_READ, params__what__in=list(every))
    known = {entry.params["what"] for entry in entries}
    return [both for mark, both in every.items() if mark not in known]


def steps_answered(claims: Sequence[NeverHotClaim]) -> dict[str, tuple[str, int]]:
    """Return for what somebody answered in a quote, by its mark, the quote and its key.

    The answer counts for every quote until the recipe's words change; a query where there are claims, and one where
    one was answered.
    """
    marks = [claim.mark(text) for claim in claims for text in claim.asked]
    entries = AuditEntry.objects.filter(event=NEVER_HOT_READ, params__what__in=marks) if marks else ()
    found = {entry.params["what"]: entry.document_pk for entry in entries}
    quotes = Quote.objects.in_bulk(set(found.values())) if found else {}
    return {mark: (str(quotes[pk]), pk) for mark, pk in found.items() if pk in quotes}


def _known(products: Iterable[str], book: Book) -> list[str]:
    codes = {product.code for product in book.products}
    return [code for code in products if code in codes]
