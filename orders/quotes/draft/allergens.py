"""What the desserts of a table declare, and which of them serve the needs of the guests."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Final

from catalog.book.selectors import books_unpriced
from catalog.kitchen.models import Kitchen
from catalog.pantry.allergens import asked_of
from catalog.pantry.declarations import (
    FREE,
    MAY,
    Declaration,
    NeedAnswer,
    Serves,
    answer_to,
    called,
    declared,
    together,
)
from catalog.pantry.diets import DIET_FACTS, DIETS
from catalog.products.claims import claims_in, unproven_words
from catalog.products.declarations import BookDeclarations, OpenQuestion, declarations_of
from catalog.products.kitchen_claims import WORDS_READ, words_unproven
from costing.contract import Book
from orders.documents.content import Charge, DishAnswer, Line, NeedServed, QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.quotes.draft.dessert_table import TableExtra
from orders.quotes.draft.message_needs import MessageOpen, messages_open
from orders.quotes.draft.stated import FROM_GOOD_TO_BAD, needs_of_lines, product_answer
from orders.quotes.draft.suggestions import proposed
from orders.quotes.draft.traces import traces_since
from orders.quotes.models import Quote, QuoteExtra
from orders.records.errors import WordsUnproven
from orders.records.states import QuoteStatus

NO_FOOD: Final = QuoteExtra.Food.NONE
CHECKED: Final = QuoteExtra.Food.CHECKED
NOTHING_DECLARED: Final = Declaration()


@dataclass(frozen=True, slots=True)
class UncheckedDish:
    """A dessert or an extra that was not checked for some allergens, and its ingredients nobody answered for.

    ``code`` is the product's, or ``extra-1``, ``extra-2``, … as in the Brief. ``food`` is an extra's answer to whether
    it is food, ``answered`` whether any allergen of it is.
    """

    code: str
    name: str
    codes: tuple[str, ...]
    ingredients: tuple[OpenQuestion, ...] = ()
    food: str = ""
    answered: bool = False


def needs_served(
    book: Book,
    products: Sequence[str],
    extras: Iterable[TableExtra],
    inquiry: Inquiry,
    *,
    needs: Sequence[str] | None = None,
) -> tuple[NeedServed, ...]:
    """Return for each need of an inquiry which desserts of a table serve it, and which others of the kitchen would.

    ``needs`` are some of them; all where it is None.
    """
    declarations = declarations_of(book)
    names = {code: book.product(code).name for code in products}
    others = [(extra.name, of_extra(extra, declarations.which)) for extra in extras if extra.food != NO_FOOD]
    asked = inquiry.allergies if needs is None else needs
    counts = inquiry.need_counts
    return tuple(_need(need, declarations, names, others, counts.get(need), inquiry.allergies) for need in asked)


def _need(
    need: str,
    declarations: BookDeclarations,
    names: Mapping[str, str],
    extras: Sequence[tuple[str, Declaration]],
    guests: int | None,
    every: Sequence[str],
    content: QuoteContent | None = None,
) -> NeedServed:
    """Answer a need; of what is proposed instead, that which serves ``every`` need of the table comes first.

    Of a sent ``content`` what it states counts besides.
    """
    answers = [(name, declarations.answer(code, need)) for code, name in names.items()]
    if content is not None:
        answers = [
            (name, product_answer(need, code, content, declarations.answer(code, need))) for code, name in names.items()
        ]
    answers += [(name, answer_to(need, found, declarations.which)) for name, found in extras]
    dishes = tuple(DishAnswer(name, str(found.serves), found.codes) for name, found in answers)
    instead: tuple[str, ...] = ()
    if any(found.serves != Serves.FREE for _, found in answers):
        instead = proposed(need, every, declarations, known=names)
    return NeedServed(need, guests, dishes, instead)


def of_extra(extra: TableExtra, which: str) -> Declaration:
    """Return what an extra declares; what it was not asked for is not checked."""
    if extra.food != CHECKED:
        return called(together([], which), extra.name)
    answers = dict.fromkeys(extra.free, FREE) | dict.fromkeys(extra.may_contain, MAY) | dict(extra.facts)
    return called(declared(extra.allergens, answers, which), extra.name)


def charge_declared(content: QuoteContent, extra: Charge, which: str) -> Declaration:
    """Return what an extra of a sent quote declares under a list; what its own list did not ask is not checked."""
    if extra.food != CHECKED:
        return called(together([], which), extra.name)
    known = {*extra.allergens, *extra.may_contain, *extra.unchecked}
    free = [code for code in asked_of(content.allergen_list) if code not in known]
    free += extra.made_without
    answers = dict.fromkeys(free, FREE) | dict.fromkeys(extra.may_contain, MAY)
    return called(declared([*extra.allergens, *extra.made_with], answers, which), extra.name)


def food_extras(content: QuoteContent) -> list[Charge]:
    """Return the extras of a sent quote that are food or touch it; none of one sent before that was asked."""
    return [extra for extra in content.extras if content.allergen_list and extra.food != NO_FOOD]


def check_words(kitchen: Kitchen, book: Book, extras: Iterable[TableExtra]) -> None:
    """Refuse words of a kitchen's profile that an ingredient, or an extra of a table, does not bear out.

    Its cancellation terms are those of each quote.

    Raises WordsUnproven.
    """
    which = declarations_of(book).which
    sold = [(extra.name, of_extra(extra, which)) for extra in extras if extra.food != NO_FOOD]
    for place in WORDS_READ:
        text = getattr(kitchen, place)
        if any(claims_in(text)) and (claims := words_unproven(text, book, sold)):
            raise WordsUnproven(place=place, where=place, claims=claims)


def extra_unchecked(extra: TableExtra, which: str) -> tuple[str, ...]:
    """Return the allergens an extra was not checked for; none of what is no food and touches none."""
    return () if extra.food == NO_FOOD else of_extra(extra, which).unchecked_allergens


def unmet(needs: Iterable[NeedServed]) -> tuple[NeedServed, ...]:
    """Return the needs that some dessert does not serve, or may not serve."""
    return tuple(need for need in needs if any(dish.serves != Serves.FREE for dish in need.dishes))


def unchecked_dishes(book: Book, products: Iterable[str], extras: Iterable[TableExtra]) -> tuple[UncheckedDish, ...]:
    """Return the desserts and extras that were not checked for every allergen of the list, in the order given."""
    declarations, found = declarations_of(book), []
    for code in products:
        if codes := declarations.of(code).unchecked_allergens:
            found.append(UncheckedDish(code, book.product(code).name, codes, declarations.open_questions(code)))
    for place, extra in enumerate(extras, start=1):
        if codes := extra_unchecked(extra, declarations.which):
            answered = bool(extra.allergens or extra.may_contain or extra.free)
            found.append(UncheckedDish(f"extra-{place}", extra.name, codes, food=extra.food, answered=answered))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class LabelChange:
    """What a dessert declares today and its sent quote does not: what it contains, may contain, was not checked for.

    ``diets`` are those that the quote says it serves and nobody knows today whether it does, such as no alcohol.
    ``today`` is all it declares by now, under the list ``which``; ``untrue`` what its texts claim and does not hold;
    ``of_need`` is whether what the quote says of it to a guest with a need is worse by now.
    """

    name: str
    contains: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()
    diets: tuple[str, ...] = ()
    product: str = ""
    today: Declaration = NOTHING_DECLARED
    which: str = ""
    untrue: tuple[str, ...] = ()
    of_need: bool = False

    @property
    def stops(self) -> bool:
        """Whether nobody may approve on the older statement: more is in it, or a need is not known to be met now."""
        return bool(self.contains or self.may or self.of_need or self.untrue)


def label_changes(content: QuoteContent, book: Book) -> tuple[LabelChange, ...]:
    """Return the desserts of a sent quote of which more is known today than it says, or less was checked.

    A dessert that is no longer in the catalog is left out: nothing is known of it.
    """
    declarations, names = declarations_of(book), {product.code for product in book.products}
    found = (_label_change(content, line, declarations) for line in content.lines if line.product in names)
    return tuple(change for change in found if change.contains or change.may or change.unchecked or change.diets)


def _label_change(content: QuoteContent, line: Line, declarations: BookDeclarations) -> LabelChange:
    today, stated = declarations.of(line.product), {*line.allergens, *line.made_with}
    # A content of earlier days says what is contained, and nothing of anything else.
    asked = bool(content.allergen_list)
    contains = today.contains - stated if asked else frozenset(today.allergens) - stated
    may = [code for code in today.may_allergens if asked and code not in {*stated, *line.may_contain}]
    known = content.allergen_list == declarations.which
    unchecked = [code for code in today.unchecked_allergens if known and code not in line.unchecked]
    served = declarations.diets(line.product)
    lost = [diet for diet in line.diets if diet in DIETS and served[diet] != Serves.FREE]
    words = f"{line.name}. {line.description}. {line.holding}" if contains or may or unchecked else ""
    return LabelChange(
        name=line.name,
        untrue=unproven_words(words, today, declarations.which),
        contains=tuple(sorted(contains)),
        may=tuple(may),
        unchecked=tuple(unchecked),
        diets=tuple(diet for diet in lost if not DIETS[diet].excludes & contains),
        product=line.product,
        today=today,
        which=declarations.which,
    )


def line_since(line: Line, change: LabelChange | None) -> Line:
    """Return a line of a sent quote with what is known of it today besides: nothing is taken from what was stated."""
    if change is None:
        return line
    contains = dict.fromkeys([*line.allergens, *(code for code in change.contains if code not in DIET_FACTS)])
    may = dict.fromkeys(code for code in (*line.may_contain, *change.may) if code not in contains)
    unchecked = dict.fromkeys(code for code in (*line.unchecked, *change.unchecked) if code not in {*contains, *may})
    made_with = dict.fromkeys([*line.made_with, *(code for code in change.contains if code in DIET_FACTS)])
    names = {code: set(named) for code, named in line.allergen_names.items()}
    for code, named in change.today.names.items():
        names[code] = names.get(code, set()) | named
    diets = () if change.contains or change.unchecked else tuple(one for one in line.diets if one not in change.diets)
    return replace(
        line,
        allergens=tuple(contains),
        may_contain=tuple(may),
        unchecked=tuple(unchecked),
        made_with=tuple(made_with),
        allergen_names={code: sorted(named) for code, named in names.items()},
        diets=diets,
    )


@dataclass(frozen=True, slots=True)
class NeedNow:
    """A need that a sent quote answers, by today's answers where they are worse; ``changed`` names those desserts."""

    need: NeedServed
    changed: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class SinceQuote:
    """What changed about allergens since a quote was sent: its desserts, guests' needs, and what they said of them.

    ``table`` has the needs that the quote answers, ``needs`` those that it does not, or for fewer guests.
    ``unanswered`` are those of them that it does not name at all and that part of the table does not serve.
    ``messages`` are customers' messages that may name a need and that nobody answered, ``named`` what they name.
    ``asked`` are the needs by now, the inquiry's and the quote's; None of an erased one.
    ``traces`` is today's sentence.
    """

    changes: tuple[LabelChange, ...] = ()
    needs: tuple[NeedServed, ...] = ()
    note: str = ""
    table: tuple[NeedNow, ...] = ()
    unanswered: tuple[NeedServed, ...] = ()
    messages: tuple[MessageOpen, ...] = ()
    named: tuple[NeedServed, ...] = ()
    asked: tuple[str, ...] | None = None
    traces: str = ""

    @property
    def stops(self) -> bool:
        """Whether the quote cannot be approved as it is."""
        return bool(self.unanswered or self.messages or self.traces_stop) or any(
            change.stops for change in self.changes
        )

    @property
    def traces_stop(self) -> bool:
        """Whether guests have needs and the quote says of traces what the kitchen does not say any more."""
        return bool(self.traces and self.asked)

    def of(self, product: str) -> LabelChange | None:
        """Return what changed of a product; None where nothing did."""
        return next((change for change in self.changes if change.product == product), None)


NOTHING_CHANGED: Final = SinceQuote()


def since_now(sent: Sequence[tuple[QuoteContent, Inquiry]]) -> list[SinceQuote]:
    """Return what changed about allergens since each of some quotes was sent, by today's catalog; few queries.

    A catalog that cannot price still says what is in them; nothing is known only where it does not even say that.
    """
    books, wrote = _books(content for content, _ in sent), messages_open(inquiry for _, inquiry in sent)
    return [
        since_quote(content, inquiry, book, wrote.get(inquiry.pk, ()))
        for (content, inquiry), book in zip(sent, books, strict=True)
    ]


def labels_changed(quotes: Iterable[Quote]) -> frozenset[int]:
    """Return the keys of sent quotes of whose desserts more is known today, so that nobody can approve them."""
    waiting = [quote for quote in quotes if quote.status == QuoteStatus.SENT and quote.content]
    sent = [(content_read(quote.content), quote.inquiry) for quote in waiting]
    return frozenset(quote.pk for quote, since in zip(waiting, since_now(sent), strict=True) if since.stops)


def _books(contents: Iterable[QuoteContent]) -> list[Book | None]:
    """Return for each content the Book by which an approval of it is judged; None where nothing can be."""
    tables = ([line.product for line in content.lines] for content in contents)
    return list(books_unpriced(dict(enumerate(tables))).values())


def since_quote(
    content: QuoteContent, inquiry: Inquiry, book: Book | None, wrote: tuple[MessageOpen, ...] = ()
) -> SinceQuote:
    """Return what changed about allergens since a quote was sent; its own content never changes."""
    if content.erased or book is None:
        return NOTHING_CHANGED if content.erased else SinceQuote(messages=wrote)
    counted = {need.need: need.guests for need in content.needs or ()}
    new = [
        need
        for need in inquiry.allergies
        if need not in content.event.allergies or counted.get(need) != inquiry.need_counts.get(need)
    ]
    table = _needs_now(content, {product.code for product in book.products}, book)
    worse = {name for one in table for name in one.changed}
    return SinceQuote(
        changes=tuple(replace(one, of_need=one.name in worse) for one in label_changes(content, book)),
        needs=_served(new, content, inquiry, book),
        note=inquiry.allergy_note if inquiry.allergy_note != content.event.allergy_note else "",
        table=table,
        unanswered=needs_unanswered(content, inquiry, book),
        messages=wrote,
        asked=(*inquiry.allergies, *content.event.allergies),
        traces=traces_since(content, book),
        named=_served(dict.fromkeys(code for one in wrote for code in one.missing), content, inquiry, book),
    )


def needs_unanswered(content: QuoteContent, inquiry: Inquiry, book: Book) -> tuple[NeedServed, ...]:
    """Return the needs recorded since a quote was sent that it does not name and part of its table does not serve.

    Where the quote says that the customer named none, every need is among them: that sentence is not true any more.
    """
    if content.erased:
        return ()
    new = [need for need in inquiry.allergies if need not in content.event.allergies]
    served = _served(new, content, inquiry, book) if new else ()
    return tuple(one for one in served if content.named_none or any(dish.serves != Serves.FREE for dish in one.dishes))


def _served(needs: Iterable[str], content: QuoteContent, inquiry: Inquiry, book: Book) -> tuple[NeedServed, ...]:
    names, declarations = {product.code for product in book.products}, declarations_of(book)
    products = {line.product: line.name for line in content.lines if line.product in names}
    others = [(one.name, charge_declared(content, one, declarations.which)) for one in food_extras(content)]
    every, counts = [*inquiry.allergies, *content.event.allergies], inquiry.need_counts
    return tuple(_need(need, declarations, products, others, counts.get(need), every, content) for need in needs)


def needs_stored(content: QuoteContent) -> tuple[NeedServed, ...]:
    """Return the needs as a content answers them, also one of earlier days."""
    return needs_of_lines(content.lines, content.event.allergies) if content.needs is None else content.needs


def _needs_now(content: QuoteContent, known: Collection[str], book: Book) -> tuple[NeedNow, ...]:
    declarations = declarations_of(book)
    products: dict[str, list[str]] = {}
    for line in content.lines:
        if line.product in known:
            products.setdefault(line.name, []).append(line.product)
    found = []
    for need in needs_stored(content):
        dishes = []
        for dish in need.dishes:
            answers = [declarations.answer(code, need.need) for code in products.get(dish.name, ())]
            dishes.append(reduce(_worse, answers, dish))
        changed = frozenset(new.name for old, new in zip(need.dishes, dishes, strict=True) if new != old)
        found.append(NeedNow(replace(need, dishes=tuple(dishes)), changed))
    return tuple(found)


def _worse(dish: DishAnswer, today: NeedAnswer) -> DishAnswer:
    """Return an answer of the day a quote was sent, or today's where that is worse or names more."""
    before, now = FROM_GOOD_TO_BAD.index(Serves(dish.serves)), FROM_GOOD_TO_BAD.index(today.serves)
    if now > before:
        return DishAnswer(dish.name, str(today.serves), today.codes)
    if now == before and today.serves != Serves.NOT_CHECKED and not set(today.codes) <= set(dish.codes):
        return replace(dish, codes=tuple(dict.fromkeys([*dish.codes, *today.codes])))
    return dish
