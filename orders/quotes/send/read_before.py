"""What was read for the revision before, and is not asked again while products and needs are the same."""

from orders.documents.content import QuoteContent, content_read
from orders.quotes.models import Quote
from orders.records.models import AuditEntry

#: What was read: the event of the history, the words, and of what they are.
Read = tuple[str, str, str]


def read_before(quote: Quote, content: QuoteContent | None) -> frozenset[Read]:
    """Return what was read when the revision before was sent; nothing where products or needs are others since.

    What is about safety is asked again after every such change. Two queries for a revision, none for a first one.
    """
    older = quote.replaces
    if content is None or older is None or older.sent_at is None or not older.content:
        return frozenset()
    before = content_read(older.content)
    if before.erased or _of_safety(before) != _of_safety(content):
        return frozenset()
    rows = AuditEntry.objects.filter(document="quote", document_pk=older.pk, event__endswith="_read").exclude(note="")
    found = rows.values_list("event", "note", "params")
    own = frozenset((event, note, str(params.get("what", ""))) for event, note, params in found)
    return own | read_before(older, before)


def _of_safety(content: QuoteContent) -> list[object]:
    """Return what a need is judged by: the products with what they declare, the extras, the needs and the notes."""
    lines = [
        (one.product, one.name, one.units, one.allergens, one.may_contain, one.unchecked, one.diets, one.made_with)
        for one in content.lines
    ]
    needs = [(one.need, one.guests, one.dishes) for one in content.needs or ()]
    extras = [one.name for one in content.extras]
    return [lines, extras, needs, content.event.allergies, content.event.allergy_note, content.event.guests]
