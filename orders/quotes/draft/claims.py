"""What a quote claims to be free of and nobody proved: names and descriptions of its desserts, notes, replies."""

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Final

from catalog.book.selectors import book_unpriced
from catalog.pantry.name_words import folded
from catalog.pantry.note_needs import needs_in
from catalog.pantry.plain_text import SENTENCE_END, plain_text
from catalog.products.claim_words import ALLERGENS_ALL, GUESTS
from catalog.products.claims import UnprovenClaim, claims_in, text_unproven, unproven_claims
from catalog.products.declarations import declarations_of
from catalog.products.kitchen_claims import Declared, KitchenClaim, kitchen_claims, words_unproven
from catalog.records.errors import CannotPrice
from costing.contract import Book
from orders.documents.content import QuoteContent
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import NO_FOOD, of_extra
from orders.quotes.draft.dessert_table import TableExtra, table_of
from orders.quotes.draft.message_needs import MessageOpen, messages_open
from orders.quotes.models import Quote
from orders.records.errors import ClaimsUntrue, NoteUnproven

#: Words by which a sentence speaks of all that the kitchen has, and not only of what this customer gets.
_KITCHEN: Final = re.compile(r"\b(?:kitchen|bakery|building|premises|workshop|house)\b", re.IGNORECASE)
#: Words that say that something is fine for the guests one writes of.
_OF_GUESTS: Final = re.compile(
    r"\b(?:safe|suitable|fine|ok|okay|all\s+right|harmless|no\s+(?:problem|issue|trouble))\s+(?:for|with|by)\s+(?:her|him|them"
    r"|your|the|those|these)\b",
    re.IGNORECASE,
)
#: What may stand for a dessert.
_FOOD: Final = re.compile(
    r"\b(?:it|this|that|these|those|they|all|both|each|any|every\w*|anything|nothing|ones?|desserts?|cakes?|tarts?|food|eat\w*"
    r"|menu|table|allerg\w*|recipe\w*|ingredient\w*)\b",
    re.IGNORECASE,
)
_WE: Final = re.compile(r"\b(?:we|here|nothing)\b", re.IGNORECASE)


#: What is eaten, and who makes it: in a place or in a customer's note these are the kitchen's words about desserts.
_SOLD: Final = re.compile(
    r"\b(?:desserts?|cakes?|tarts?|tartlets?|sweets?|treats?|food|menu|recipes?|ingredients?|baked|baking|bakes?|kitchens?|bakery"
    r"|torten?|kuchen|nachspeisen?|speisen?|backwaren|gateaux?|patisseries?|dolci|torte|postres?|tartas?|gebak|taart\w*)\b",
    re.IGNORECASE,
)
#: Whoever makes it, or all of it.
_OURS: Final = re.compile(
    r"\b(?:our|ours|we|all|every\w*|each|any|these|those|the|nothing|unsere?[nrs]?|alle|wir|nos|notre|nous|tous|toutes|nostr[aeoi]|tutt[aeoi]"
    r"|nuestr[ao]s?|tod[ao]s?|onze|ons|alle)\b",
    re.IGNORECASE,
)
#: Words by which a customer asks for it, or asks whether it is so.
_ASKED_FOR: Final = re.compile(
    r"\b(?:please|must|should|shall|need\w*|want\w*|would|could|can\s+(?:you|we|they|it)|have\s+to|has\s+to|wish\w*|hope\w*|prefer\w*"
    r"|like|ask\w*|require\w*|if|whether|bitte|muss|mussen|sollen?|sollten?|brauch\w*|wunsch\w*|mochten?|svp|doivent|doit|voudrions"
    r"|per\s+favore|devono|deve|por\s+favor|deben|alstublieft|moeten)\b|\?",
    re.IGNORECASE,
)
#: Words of a dessert's name that name nothing: "tart with cream" is not meant by "everyone with a nut problem".
JOINING: Final = frozenset(
    {
        "with",
        "from",
        "without",
        "made",
        "plus",
        "your",
        "avec",
        "pour",
        "sans",
        "ohne",
        "oder",
        "para",
        "senza",
        "voor",
        "zonder",
    }
)
_PARTS: Final = re.compile(r"(?<=[.!?;])\s+|\s*[,;|\n]\s*")


def of_place(place: str) -> tuple[str, str]:
    """Return what a place claims of desserts, and what else of it claims something: maybe a hall's own name."""
    parts = [part for part in _PARTS.split(plain_text(place)) if any(claims_in(part))]
    sold = [part for part in parts if _SOLD.search(part)]
    return ". ".join(sold), ", ".join(part for part in parts if part not in sold)


def kitchens_voice(note: str) -> str:
    """Return the sentences of a customer's allergy note that claim something of desserts, and ask nothing.

    The note is quoted to the customer as their own words.
    """
    sentences = (one for one in SENTENCE_END.split(plain_text(note)) if any(claims_in(one)))
    return " ".join(
        one for one in sentences if _SOLD.search(one) and _OURS.search(one) and not _ASKED_FOR.search(folded(one))
    )


def table_claims(book: Book, products: Iterable[str], extras: Iterable[TableExtra]) -> tuple[UnprovenClaim, ...]:
    """Return what the desserts and extras of a table claim by their names and descriptions and do not bear out."""
    declarations = declarations_of(book)
    found = [claim for code in products for claim in unproven_claims(book.product(code), declarations)]
    for place, extra in enumerate(extras, start=1):
        if extra.food != NO_FOOD:
            declared = of_extra(extra, declarations.which)
            found += text_unproven(f"extra-{place}", extra.name, extra.name, declared, declarations.which)
    return tuple(found)


def claims_refused(claims: Iterable[UnprovenClaim]) -> tuple[UnprovenClaim, ...]:
    """Return the claims with which nothing is sent: untrue ones, and what nobody checked but the bare word of a diet.

    Whoever sends a dessert unchecked says so to the customer, and not that it is free of something.
    """
    return tuple(claim for claim in claims if claim.misleads)


def check_claims(claims: Iterable[UnprovenClaim]) -> None:
    """Refuse names and descriptions that claim what is not so, or what nobody checked.

    Raises ClaimsUntrue.
    """
    if refused := claims_refused(claims):
        raise ClaimsUntrue(claims=refused)


def check_note(text: str, quote: Quote, *, place: str) -> None:
    """Refuse words to the customer that claim what the desserts, or the kitchen's ingredients, do not bear out.

    A sentence that names a dessert is judged by that; one about the kitchen by all it has; any other by the whole
    table; "fine for your guest" by the needs that are recorded, and those that unanswered messages name. Where the
    catalog cannot say what is in them, no claim is proven.

    Raises NoteUnproven.
    """
    if not any(claims_in(text)):
        return
    table = table_of(quote)
    try:
        book = book_unpriced(line.code for line in table.lines)
    except CannotPrice:
        claims = tuple(KitchenClaim(claim.words) for claim in claims_in(text))
    else:
        claims = note_claims(
            text, book, [line.code for line in table.lines], table.extras, guests=guests_needs(quote.inquiry)
        )
    if claims:
        raise NoteUnproven(place=place, where=place, claims=claims)


def guests_needs(inquiry: Inquiry, wrote: Iterable[MessageOpen] | None = None) -> tuple[str, ...]:
    """Return the needs of an inquiry's guests, with those that messages name and nobody recorded.

    ``wrote`` is what is open of its messages, where that was read before.
    """
    if wrote is None:
        wrote = messages_open([inquiry]).get(inquiry.pk, ())
    return tuple(dict.fromkeys([*inquiry.allergies, *(code for one in wrote for code in one.missing)]))


def texts_read(quote: Quote, content: QuoteContent | None) -> Iterator[tuple[str, str]]:
    """Return what the customer reads in a quote besides desserts and the kitchen's profile, each with its place.

    The names of extras that are food are held to their own answers.
    """
    yield "note", quote.note
    yield "cancellation_terms", quote.cancellation_terms
    yield "title", quote.inquiry.title
    yield "place", of_place(quote.inquiry.place)[0]
    yield "allergy_note", kitchens_voice(quote.inquiry.allergy_note)
    for extra in table_of(quote).extras:
        if extra.food == NO_FOOD:
            yield "extras", extra.name
    for picture in content.pictures if content else ():
        yield "pictures", picture.alt
    for tax in content.taxes if content else ():
        yield "taxes", f"{tax.name}. {tax.exempt_reason}"


def place_asked(quote: Quote, book: Book) -> tuple[str, tuple[str, ...], tuple[str, ...]] | None:
    """Return what a place claims by a name that may be its own, the needs it names, and what does not bear it out."""
    _, text = of_place(quote.inquiry.place)
    if not text:
        return None
    table = table_of(quote)
    found = note_claims(text, book, [line.code for line in table.lines], table.extras)
    dishes = dict.fromkeys(name for one in found for name in (*one.contains, *one.may, *one.unchecked))
    needs = dict.fromkeys(one.need for one in claims_in(text) if one.need not in (ALLERGENS_ALL, GUESTS))
    return (text, tuple(needs), tuple(dishes)) if dishes else None


def note_claims(
    text: str, book: Book, products: Sequence[str], extras: Iterable[TableExtra], *, guests: Collection[str] = ()
) -> tuple[KitchenClaim, ...]:
    """Return the claims of words to the customer that nothing bears out, with what speaks against each.

    ``guests`` are the needs of the customer's guests.
    """
    declarations = declarations_of(book)
    others = [(extra.name, of_extra(extra, declarations.which)) for extra in extras if extra.food != NO_FOOD]
    table = [*((book.product(code).name, declarations.of(code)) for code in products), *others]
    known = [*((one.name, declarations.of(one.code)) for one in declarations.active), *table]
    return tuple(_of_sentences(SENTENCE_END.split(plain_text(text)), book, known, table, others, guests))


def _of_sentences(
    sentences: Iterable[str],
    book: Book,
    known: Sequence[Declared],
    table: Sequence[Declared],
    extras: Sequence[Declared],
    guests: Collection[str],
) -> Iterator[KitchenClaim]:
    which = book.kitchen.described.allergen_list
    for sentence in sentences:
        named = {name: found for name, found in known if _names(sentence, name)}
        if not named and _OF_GUESTS.search(sentence) and not _speaks_of_food(sentence, table):
            continue
        part = named or (dict(_nearly_named(sentence, table)) if _of_part(sentence) else {})
        if _KITCHEN.search(sentence) or (not part and _WE.search(sentence)):
            yield from words_unproven(sentence, book, [*table, *extras], guests=guests)
        else:
            yield from kitchen_claims(sentence, which, part.items() or table, diets=bool(named), guests=guests)


def _of_part(sentence: str) -> bool:
    return bool(_OF_GUESTS.search(sentence) and not re.search(r"\b(?:all|every\w*|anything|both)\b", sentence, re.I))


def _speaks_of_food(sentence: str, table: Iterable[Declared]) -> bool:
    """Return whether a sentence that says what is fine for the guests may mean what they eat, and not the parking."""
    return bool(_FOOD.search(sentence) or needs_in(sentence)) or any(_nearly_named(sentence, table))


def _nearly_named(sentence: str, table: Iterable[Declared]) -> Iterator[Declared]:
    """Return what of a table a sentence names by a word of its name, such as "the mousse"."""
    words = set(re.findall(r"\w{4,}", sentence.lower())) - JOINING
    return ((name, found) for name, found in table if words & set(re.findall(r"\w{4,}", plain_text(name).lower())))


def _names(sentence: str, name: str) -> bool:
    """Return whether a sentence names a dessert: its name, or what stands before the first comma of it."""
    words = plain_text(name).split(",")[0].strip().lower()
    return bool(words) and re.search(rf"\b{re.escape(words)}", sentence.lower()) is not None
