"""Quotes with their rows, an inquiry with its quotes, and what a table can be composed of."""

import json
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Prefetch, Q, QuerySet, prefetch_related_objects

from catalog.products.models import Product
from catalog.taxes.models import TaxCategory
from costing.money.rounding import half_up
from orders.approvals.models import Message
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote, QuoteExtra, QuoteLine
from orders.records.states import QuoteStatus


def a_quote_was_sent() -> bool:
    """Return whether the kitchen has sent a quote."""
    return Quote.objects.filter(sent_at__isnull=False).exists()


def quotes_with_rows() -> QuerySet[Quote]:
    """Return quotes with inquiry, customer, lines and extras, in three queries."""
    return Quote.objects.select_related("inquiry__customer").prefetch_related(*_rows())


def rows_read(quote: Quote) -> None:
    """Read a quote's lines and extras in two queries; whoever asks this object for them from now on finds these.

    Only where they cannot change meanwhile: of a quote that is locked, in the transaction that locked it.
    """
    prefetch_related_objects([quote], *_rows())


def _rows() -> tuple[Prefetch, Prefetch]:  # type: ignore[type-arg]  # of lines and of extras
    return (
        Prefetch("lines", queryset=QuoteLine.objects.select_related("product")),
        Prefetch("extras", queryset=QuoteExtra.objects.select_related("tax")),
    )


@dataclass(frozen=True, slots=True)
class TableChoices:
    """The products that can stand on a table, and the tax categories of its extras."""

    products: list[Product]
    taxes: list[TaxCategory]


def table_choices(quote: Quote, *, named: Collection[str] | None = None) -> TableChoices:
    """Return the choices for a quote's table: active products, and those already on it.

    ``named`` are keys, names or codes of products as a form sent them: then only those are read, for an answer without
    the list.
    """
    products = Product.objects.only("pk", "code", "name", "sale_multiple", "servings", "active", "position")
    if named is not None:
        keys = [key for key in named if key.isascii() and key.isdigit() and len(key) < 19]
        texts = [text for text in map(str.strip, {*named} - {*keys}) if text and "\0" not in text]
        named_by = Q(pk__in=keys)
        if texts:
            named_by |= Q(name__in=texts) | Q(code__in=[code_named(text) for text in texts])
        products = products.filter(named_by)
    sold = [product for product in products if product.active]
    on_it = {line.product_id for line in quote.lines.all()}
    sold += [product for product in products if not product.active and product.pk in on_it]
    return TableChoices(sold, list(TaxCategory.objects.all()))


def code_named(text: str) -> str:
    """Return the code at the end of "Walnut cake (walnut-cake-24)", or the text itself, which may be a code."""
    return text[text.rindex("(") + 1 : -1] if text.endswith(")") and "(" in text else text


def inquiry_with_quotes(inquiry_id: int) -> Inquiry:
    """Return an inquiry with its customer and its quotes as ``revisions``, the latest first, in two queries.

    Raises Inquiry.DoesNotExist.
    """
    quotes = Quote.objects.defer("content", "brief", "estimate").order_by("-pk")
    return (
        Inquiry.objects.select_related("customer", "copied_from")
        .prefetch_related(Prefetch("quotes", queryset=quotes, to_attr="revisions"))
        .get(pk=inquiry_id)
    )


#: Which of an inquiry's quotes is its current one: the approved, else the waiting, else the draft, else the last.
_RANK: dict[str, int] = {QuoteStatus.DRAFT: 1, QuoteStatus.SENT: 2, QuoteStatus.APPROVED: 3}


def rank(quote: Quote) -> tuple[int, int]:
    """Return the rank of a quote among those of its inquiry; the highest is the current one."""
    return _RANK.get(quote.status, 0), quote.pk


def current_content(inquiry: Inquiry) -> QuoteContent | None:
    """Return the content of the current sent quote; None before one was sent.

    ``inquiry`` comes from ``inquiry_with_quotes``.
    """
    quote = current_sent(inquiry)
    if quote is None:
        return None
    return content_read(Quote.objects.values_list("content", flat=True).get(pk=quote.pk))


@dataclass(frozen=True, slots=True)
class SentFigures:
    """What a sent quote comes to: minor units, and the margin on its products against the floor it was sent under.

    Both margins are shares; ``per_guest`` is None where nobody said how many guests come.
    """

    currency: str
    total: int
    per_guest: int | None
    margin: Fraction | None
    floor: Fraction

    @property
    def below_floor(self) -> bool:
        """Whether the products earn less than the floor."""
        return self.margin is not None and self.margin < self.floor


def sent_figures(quote: Quote) -> SentFigures | None:
    """Return the figures that were stored when a quote was sent; None before. One query for its Book's floor."""
    if quote.sent_at is None or quote.total_minor is None:
        return None
    guests = content_read(quote.content).event.guests if quote.content else None
    floor = json.loads(quote.book.body)["kitchen"].get("floor_margin", "0") if quote.book is not None else "0"
    return SentFigures(
        currency=quote.currency,
        total=quote.total_minor,
        per_guest=half_up(Fraction(quote.total_minor, guests)) if guests else None,
        margin=None if quote.goods_margin is None else Fraction(quote.goods_margin),
        floor=Fraction(floor),
    )


def current_sent(inquiry: Inquiry) -> Quote | None:
    """Return the current of the sent quotes of an inquiry from ``inquiry_with_quotes``; None before one was sent."""
    sent = [quote for quote in inquiry.revisions if quote.sent_at is not None]  # type: ignore[attr-defined]  # prefetched
    return max(sent, key=rank, default=None)


def change_requests(inquiry: Inquiry) -> list[Message]:
    """Return the changes the customer asked for since the last quote was sent; whoever sends a revision answers them.

    After an approval only those that nobody has read. ``inquiry`` comes from ``inquiry_with_quotes``.
    """
    sent = [quote for quote in inquiry.revisions if quote.sent_at is not None]  # type: ignore[attr-defined]  # prefetched
    if not sent:
        return []
    last = max(sent, key=lambda quote: (quote.sent_at, quote.pk))
    asked = Message.objects.filter(quote=last, kind=Message.Kind.CHANGE).order_by("pk")
    return list(asked.filter(seen_at=None) if last.status == QuoteStatus.APPROVED else asked)


def quote_locked(quote_id: int) -> Quote:
    """Return a quote with its inquiry and PDF, after locking all revisions of its number, always in the same order.

    Whoever sends, revises, withdraws or answers a quote waits here for whoever does so with any revision of it; a
    concurrent write of a line waits too (see `orders.records.immutable_rows`). SQLite has one writer only.

    Raises Quote.DoesNotExist.
    """
    number = Quote.objects.filter(pk=quote_id).values("number")
    # An inquiry gets its event back when an amendment of its order ends, whichever revision somebody waits for here;
    # whoever changes an inquiry locks it before its quotes.
    amending = Quote.objects.filter(number__in=number, amends__isnull=False).values("inquiry_id")
    list(Inquiry.objects.select_for_update(no_key=True).filter(pk__in=amending).order_by("pk").values_list("pk"))
    list(Quote.objects.select_for_update().filter(number__in=number).order_by("pk").values_list("pk"))
    return Quote.objects.select_related("inquiry__customer", "pdf").get(pk=quote_id)


def quote_before(quote: Quote) -> Quote | None:
    """Return what a revision is compared with: of an amendment what it changes, of others the one it replaces.

    One query for an amendment, two where it was sent.
    """
    if quote.amends_id is None:
        return quote.replaces
    if quote.content and (about := content_read(quote.content).amends) is not None:
        return Quote.objects.filter(number=quote.number, revision=about.revision).first()
    return Quote.objects.get(order=quote.amends_id)


def content_before(quote: Quote) -> QuoteContent | None:
    """Return the content of what a revision is compared with; None where there is none, or nothing was sent."""
    older = quote_before(quote)
    return content_agreed(older) if older is not None and older.sent_at is not None and older.content else None
