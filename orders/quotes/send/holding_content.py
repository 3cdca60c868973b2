"""Texts on keeping that the customer reads beside the rule's: "leave it out all day" beside "keep at 41 °F or colder".

No reading of words is sure. Whatever is more than a plain word for the cold is asked about, once for each text.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from catalog.cooling.cold_holding import says_out
from catalog.kitchen.selectors import kitchen
from catalog.products.models import Product as ProductRow
from catalog.records.versions import version_mark
from costing.contract import Book, Estimate
from orders.documents.content import QuoteContent
from orders.quotes.cooling.perishables import room_bases
from orders.quotes.cooling.recorded_out import most_out_in
from orders.quotes.draft.holding_words import room_words
from orders.quotes.models import Quote
from orders.quotes.send.content import content_of
from orders.records.cooling_errors import HoldingContradicts
from orders.records.models import AuditEntry

#: All of a text that says nothing but how cold, and until when.
_PLAINLY_COLD: Final = re.compile(
    r"(?:(?:keep|store)(?: it| them)? )?"
    r"(?:(?:cold|chilled|refrigerated|in the (?:refrigerator|fridge))(?:,? at -?\d+ ?°[CF](?: or colder)?)?"
    r"|at -?\d+ ?°[CF] or colder)"
    r"(?:,? until (?:it is |they are )?(?:served|serving|eaten))?\.?",
    re.IGNORECASE,
)


#: The longest time out of the cold where the rule states none [min]: US Food Code 2022, 3-501.19(B).
_MOST_OUT: Final = 240


@dataclass(frozen=True, slots=True)
class OwnHolding:
    """A product's own text on keeping, what the quote says beside it, and a mark of the text."""

    name: str
    own: str
    beside: str
    mark: str
    product_id: int


def own_holdings(content: QuoteContent, book: Book, event: str) -> Iterator[OwnHolding]:
    """Yield the texts that nobody has read beside the rule's yet, in any quote; two queries for any.

    ``event`` is that of the histories of quotes which says who read one.
    """
    found = {one.mark: one for one in _texts(content, {product.code for product in book.products}, book)}
    if not found:
        return
    entries = AuditEntry.objects.filter(event=event, params__what__in=list(found))
    known = {entry.params["what"] for entry in entries}
    against = {each.params["product_id"] for each in contradictions(content, book)}
    # What contradicts it is refused, and no tick answers it.
    yield from (one for mark, one in found.items() if mark not in known and one.product_id not in against)


def contradictions(content: QuoteContent, book: Book) -> Iterator[HoldingContradicts]:
    """Yield a refusal for each text that says to keep out of the cold what the quote says to keep cold."""
    codes = {product.code for product in book.products}
    limits = {line.name: line.out_minutes for line in content.lines}
    for one in _texts(content, codes, book):
        limit = limits[one.name]
        if says_out(one.own) or (most_out_in(one.own) or 0) > (_MOST_OUT if limit is None else limit):
            yield HoldingContradicts(what=one.name, own=one.own[:200], beside=one.beside, product_id=one.product_id)


def holding_refused(quote: Quote, estimate: Estimate, book: Book, *, at: datetime) -> tuple[HoldingContradicts, ...]:
    """Return the same for a draft by its saved rows; nothing where no text speaks of it, without a query."""
    texts = {line.product: book.product(line.product).holding for line in estimate.lines}
    rows = {row.product.code for row in quote.lines.all()}
    if not any(says_out(own) or most_out_in(own) for own in texts.values()) or not rows <= texts.keys():
        return ()
    return tuple(contradictions(content_of(quote, estimate, book, kitchen(), at), book))


def _texts(content: QuoteContent, codes: set[str], book: Book) -> Iterator[OwnHolding]:
    lines = {line.product: line for line in content.lines if line.product in codes}
    owns = {code: own for code in lines if (own := book.product(code).holding.strip())}
    beside = {code: _beside(lines[code].holding, own) for code, own in owns.items()}
    # That it is safe at room temperature contradicts no text.
    limited = (code for code in owns if beside[code] != room_words(room_bases(book.product(code), book)))
    asked = {code: owns[code] for code in limited if beside[code] and not _PLAINLY_COLD.fullmatch(owns[code])}
    keys: Mapping[str, int] = dict(ProductRow.objects.filter(code__in=asked).values_list("code", "pk")) if asked else {}
    for code, own in asked.items():
        mark = version_mark([code, own])
        yield OwnHolding(lines[code].name, own, beside[code], mark, keys.get(code, 0))


def _beside(whole: str, own: str) -> str:
    """Return what the quote says of keeping that is not the product's own text."""
    own_lines = set(own.splitlines())
    return " ".join(line for line in whole.splitlines() if line not in own_lines).strip()
