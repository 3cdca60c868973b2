"""What somebody has to read before a quote goes: words that may speak of a need, and names of allergens said to be out.

No reading of words is sure. What is found here is therefore asked about by name, and never concluded from; the allergy
note is asked about whatever it says.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from catalog.kitchen.models import Kitchen
from catalog.pantry.declarations import Declaration, Serves
from catalog.pantry.free_by import is_known
from catalog.pantry.models import Ingredient
from catalog.pantry.other_needs import is_other, other_words
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.records.versions import version_mark
from costing.contract import Book
from orders.documents.content import QuoteContent
from orders.inquiries.models import Inquiry
from orders.quotes.amendments.fall_presenters import below_words
from orders.quotes.amendments.falls import least_counts
from orders.quotes.changes import stated_less
from orders.quotes.cooling.never_hot import NEVER_HOT_READ, unanswered_steps
from orders.quotes.draft.allergens import needs_served
from orders.quotes.draft.claims import guests_needs, place_asked
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.fine_words import FineWords, fine_beside, to_read_of
from orders.quotes.draft.message_needs import MessageOpen, messages_elsewhere, messages_open, messages_unread
from orders.quotes.draft.names_denied import OFF_FOOD, SAYS_NOTHING, NameDenied, names_denied
from orders.quotes.draft.needs_before import needs_before_of
from orders.quotes.draft.note_needs import extra_open, missing_counted, words_open
from orders.quotes.draft.spoken_of import FREELY, SpokenOf, spoken_of, table_declared
from orders.quotes.models import Quote
from orders.quotes.selectors import content_before
from orders.quotes.send.holding_content import own_holdings
from orders.quotes.send.read_before import read_before
from orders.records.cooling_errors import NeverHotUnseen
from orders.records.errors import NoteUnsettled
from orders.records.need_errors import TextUnread
from orders.records.transitions import audit

#: Kind of what is to be read -> the event of the quote's history that says who read it.
READ_EVENTS: Final[Mapping[str, str]] = {
    "note": "note_read",
    "title": "title_read",
    "inner": "inner_note_read",
    "place": "place_read",
    "customer": "customer_name_read",
    "customer_note": "customer_note_read",
    "address": "customer_address_read",
    "extra": "extra_name_read",
    "named": "named_read",
    "spoken": "spoken_read",
    "own": "own_words_read",
    "message": "message_read",
    "elsewhere": "elsewhere_read",
    "before": "needs_before_read",
    "other": "other_need_read",
    "never_hot": NEVER_HOT_READ,
    "less": "less_said_read",
    "holding": "holding_read",
    "fall": "fall_read",
}
#: What has steps that are answered for.
_MADE: Final[Mapping[str, type[Recipe | Product]]] = {"recipe": Recipe, "product": Product}


@dataclass(frozen=True, slots=True)
class ToRead:
    """One thing to be read: its words, the allergens and needs they name, and the desserts these are in.

    ``what`` says of a name whether it is a product's, a recipe's or an ingredient's; of other words where they stand.
    Of a message it is its key. ``recorded`` are the needs that the inquiry has: who reads its note again reads it
    beside these. Of a recipe that counts as never hot, ``text`` is its name and ``dishes`` one of its steps; ``what``
    is a mark of it as it stands, ``recorded`` the reason, the recipe's key, and by what it counts as cold; of a
    product's own step the name and key are the product's. Of a product's own text on keeping ``text`` is its name,
    ``dishes`` that text, ``recorded`` what the quote says beside it and the product's key. Of a count below the terms
    ``text`` is the term. ``own`` is a text of the kitchen's that is read as a whole.
    """

    kind: str
    text: str
    codes: Mapping[str, int | None] = field(default_factory=dict)
    dishes: tuple[str, ...] = ()
    what: str = ""
    recorded: tuple[str, ...] = ()
    own: FineWords | None = None

    @property
    def mark(self) -> str:
        """A mark of all of it: whoever ticks it has read just this."""
        own = [self.own.mark] if self.own else []
        return version_mark([self.kind, self.what, self.text, *self.codes, *self.dishes, *self.recorded, *own])


def to_read(quote: Quote, book: Book | None, kitchen: Kitchen, content: QuoteContent | None) -> tuple[ToRead, ...]:
    """Return what is to be read before a quote goes, each with its mark; the allergy note first.

    What was read for the revision before is not asked again while nothing about safety changed since.
    """
    return to_read_or_read(quote, book, kitchen, content)[0]


def to_read_or_read(
    quote: Quote, book: Book | None, kitchen: Kitchen, content: QuoteContent | None
) -> tuple[tuple[ToRead, ...], tuple[ToRead, ...]]:
    """Return what is to be read, and what was read before the revision that it replaces and still stands."""
    wrote = messages_open([quote.inquiry]).get(quote.inquiry_id, ())
    every = (
        *_of_inquiry(quote.inquiry, wrote),
        *_of_extras(quote),
        *_of_table(quote, book, kitchen, content, wrote),
        *_of_others(quote, book),
        *_stated_less(quote, content),
        *_below_the_terms(quote, content),
    )
    known = read_before(quote, content) if every else frozenset()
    read = tuple(one for one in every if (READ_EVENTS[one.kind], one.text, one.what) in known)
    return tuple(one for one in every if one not in read), read


def _of_inquiry(inquiry: Inquiry, wrote: Sequence[MessageOpen]) -> Iterator[ToRead]:
    recorded = _recorded(inquiry)
    if note := inquiry.allergy_note.strip():
        yield ToRead("note", note, missing_counted(note, inquiry), recorded=recorded)
    for words in words_open(inquiry):
        yield ToRead(words.place, words.text, words.missing, recorded=recorded)
    yield from _messages(inquiry, wrote, recorded)
    if (before := needs_before_of(inquiry)) is not None:
        text = before.inquiry.allergy_note.strip() or before.inquiry.title
        yield ToRead("before", text, before.missing, what=before.inquiry.title, recorded=recorded)


def _of_others(quote: Quote, book: Book | None) -> Iterator[ToRead]:
    """Return the needs that no list has, each with the desserts that nobody checked for it."""
    needs = [code for code in quote.inquiry.allergies if is_other(code)]
    if book is None or not needs:
        return
    table = table_of(quote)
    for one in needs_served(book, [line.code for line in table.lines], table.extras, quote.inquiry, needs=needs):
        if open_ := tuple(dish.name for dish in one.dishes if dish.serves == Serves.NOT_CHECKED):
            yield ToRead("other", other_words(one.need), {one.need: one.guests}, open_)


def _stated_less(quote: Quote, content: QuoteContent | None) -> Iterator[ToRead]:
    """Return what the quote before said that something contains, or may contain, and this one says less of."""
    before = content_before(quote) if content is not None else None
    if content is None or before is None or before.erased:
        return
    for one in stated_less(before, content):
        name, codes = one.params["name"], one.params["codes"]
        yield ToRead("less", name, dict.fromkeys(codes), (name,), what=one.code)


def _below_the_terms(quote: Quote, content: QuoteContent | None) -> Iterator[ToRead]:
    """Return the counts of a change that are lower than the order's terms allow after its final count."""
    if quote.amends is None or content is None:
        return
    least = least_counts(quote.amends.quote, today=content.sent_at.date())
    if least is None:
        return
    for one in least.below(content.event.guests, content.servings):
        yield ToRead("fall", below_words(one, least), what=one.what)


def _of_extras(quote: Quote) -> Iterator[ToRead]:
    recorded = _recorded(quote.inquiry)
    for extra in table_of(quote).extras:
        if (words := extra_open(extra.name, quote.inquiry)) is not None:
            yield ToRead(words.place, words.text, words.missing, recorded=recorded)


def _recorded(inquiry: Inquiry) -> tuple[str, ...]:
    return tuple(f"{code} {inquiry.need_counts.get(code)}" for code in sorted(inquiry.allergies))


def _messages(inquiry: Inquiry, wrote: Sequence[MessageOpen], recorded: tuple[str, ...]) -> Iterator[ToRead]:
    """Return what the customer wrote and nobody has read; what is unanswered stops the quote anyway."""
    for one in messages_unread(inquiry, wrote):
        yield ToRead("message", one.text, what=str(one.pk), recorded=recorded)
    for other in messages_elsewhere([inquiry]).get(inquiry.pk, ()):
        yield ToRead("elsewhere", other.text, other.missing, what=str(other.message), recorded=recorded)


def _of_table(
    quote: Quote, book: Book | None, kitchen: Kitchen, content: QuoteContent | None, wrote: Sequence[MessageOpen]
) -> Iterator[ToRead]:
    if book is None:
        return
    table = table_of(quote)
    codes = [line.code for line in table.lines]
    yield from _never_hot(codes, book)
    if content is not None:
        for one in own_holdings(content, book, READ_EVENTS["holding"]):
            key = str(one.product_id or "")
            yield ToRead("holding", one.name, dishes=(one.own,), what=one.mark, recorded=(one.beside, key))
    yield from _names(names_denied(book, codes))
    spoken = spoken_of(quote, table, book, kitchen, content)
    declared, needs = table_declared(table, book), guests_needs(quote.inquiry, wrote)
    own = _own(quote, kitchen, declared, needs, spoken)
    wholes = {one.what for one in own if one.kind == "own"}
    yield from (_spoken(one) for one in spoken if one.place not in wholes)
    if (named := place_asked(quote, book)) is not None:
        text, needs, dishes = named
        yield ToRead("spoken", text, dict.fromkeys(needs), dishes, "place")
    yield from own


def _own(
    quote: Quote,
    kitchen: Kitchen,
    declared: Sequence[tuple[str, Declaration]],
    needs: Sequence[str],
    spoken: Sequence[SpokenOf],
) -> list[ToRead]:
    """Return what is to be read of what the kitchen writes to this customer; its usual terms are only looked through.

    A sentence that is among those ``spoken`` is not asked about twice.
    """
    asked, found = {one.text for one in spoken}, []
    for place in FREELY:
        text = getattr(quote, place)
        sentences = fine_beside(text, declared, needs, kitchen.allergen_list)
        here = [FineWords(one.text, one.codes, one.dishes) for one in spoken if one.place == place]
        usual = place == "cancellation_terms" and text.strip() == kitchen.cancellation_terms.strip()
        for one in sentences if usual else to_read_of(text, quote.inquiry, needs, [*here, *sentences]):
            if one.whole:
                found.append(ToRead("own", one.text, dict(one.guests), one.dishes, place, own=one))
            elif one.text not in asked:
                found.append(ToRead("spoken", one.text, dict.fromkeys(one.codes), one.dishes, place))
    return found


def _never_hot(codes: Iterable[str], book: Book) -> Iterator[ToRead]:
    """Yield the steps for which nobody has answered, in any quote, that they are cold; up to three queries for any."""
    unread = unanswered_steps(codes, book)
    keys = {
        kind: dict(rows.objects.filter(code__in=wanted).values_list("code", "pk"))
        for kind, rows in _MADE.items()
        if (wanted := {claim.code for claim, _ in unread if claim.kind == kind})
    }
    for claim, text in unread:
        recorded = (claim.reason, str(keys[claim.kind].get(claim.code, "")), claim.counts_by)
        yield ToRead("never_hot", claim.name, dishes=(text,), what=claim.mark(text), recorded=recorded)


def _names(found: Iterable[NameDenied]) -> Iterator[ToRead]:
    every = list(found)
    bought = [one.code for one in every if one.what in ("ingredient", OFF_FOOD, SAYS_NOTHING)]
    rows = Ingredient.objects.filter(code__in=bought) if bought else ()
    asked = {row.code: row.named_only for row in rows}
    for one in every:
        if one.what == OFF_FOOD:
            if asked.get(one.code, {}).get(OFF_FOOD) != one.name:
                yield ToRead("named", one.name, dict.fromkeys(one.named), one.dishes, one.what)
            continue
        if one.what == SAYS_NOTHING:
            if not is_known(asked.get(one.code, {}), one.name):
                yield ToRead("named", one.name, {}, one.dishes, one.what)
            continue
        known = asked.get(one.code, {}) if one.what == "ingredient" else {}
        if codes := [code for code in one.named if known.get(code) != one.name]:
            yield ToRead("named", one.name, dict.fromkeys(codes), one.dishes, one.what)


def _spoken(one: SpokenOf) -> ToRead:
    return ToRead("spoken", one.text, dict.fromkeys(one.codes), one.dishes, one.place)


def check_read(found: Iterable[ToRead], read: Collection[str]) -> None:
    """Refuse to go on while something is not read; ``read`` are the marks of what is.

    Raises NoteUnsettled, TextUnread, NeverHotUnseen.
    """
    for one in found:
        if one.mark not in read:
            if one.kind == "never_hot":
                raise NeverHotUnseen(recipe=one.text)
            if one.kind == "holding":
                raise TextUnread(text=one.dishes[0][:240])
            raise NoteUnsettled(note=one.text) if one.kind == "note" else TextUnread(text=one.text[:240])


def read_noted(quote: Quote, found: Iterable[ToRead], *, by: str, at: datetime) -> None:
    """Write down what was read; the words themselves where they can be erased."""
    for one in found:
        params = {"named": list(one.codes), "products": list(one.dishes), "what": one.what}
        audit(quote, READ_EVENTS[one.kind], by=by, at=at, note=one.text, params=params)
