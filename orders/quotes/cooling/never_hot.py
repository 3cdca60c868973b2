"""What of a sent quote counts as never hot by the owner's word."""

from catalog.cooling.never_hot_claims import NeverHotClaim, never_hot_claims
from costing.contract import Book
from orders.documents.content import QuoteContent


def claims_sold(content: QuoteContent, book: Book) -> tuple[NeverHotClaim, ...]:
    """Return such recipes of the products of a sent quote that the Book still has."""
    known = {product.code for product in book.products}
    return never_hot_claims((line.product for line in content.lines if line.product in known), book)
