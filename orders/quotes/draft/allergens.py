"""What the desserts of a table declare, and which of them serve the needs of the guests."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.declarations import (
    FREE,
    MAY,
    Declaration,
    Serves,
    answer_to,
    declared,
    together,
)
from catalog.products.declarations import BookDeclarations, OpenQuestion, declarations_of
from costing.contract import Book
from orders.documents.content import DishAnswer, Line, NeedServed
from orders.inquiries.models import Inquiry
from orders.quotes.draft.dessert_table import TableExtra
from orders.quotes.models import QuoteExtra

NO_FOOD: Final = QuoteExtra.Food.NONE
CHECKED: Final = QuoteExtra.Food.CHECKED
#: Most other desserts that are named for one need.
MOST_INSTEAD: Final = 3


@dataclass(frozen=True, slots=True)
class UncheckedDish:
    """A dessert or an extra that was not checked for some allergens, and its ingredients nobody answered for.

    ``code`` is the product's, or ``extra-1``, ``extra-2``, … as in the Brief.
    """

    code: str
    name: str
    codes: tuple[str, ...]
    ingredients: tuple[OpenQuestion, ...] = ()


def needs_served(
    book: Book, products: Sequence[str], extras: Iterable[TableExtra], inquiry: Inquiry
) -> tuple[NeedServed, ...]:
    """Return for each need of an inquiry which desserts of a table serve it, and which others of the kitchen would."""
    declarations = declarations_of(book)
    names = {code: book.product(code).name for code in products}
    others = [(extra.name, _of_extra(extra, declarations.which)) for extra in extras if extra.food != NO_FOOD]
    return tuple(_need(need, declarations, names, others, inquiry.need_counts.get(need)) for need in inquiry.allergies)


def _need(
    need: str,
    declarations: BookDeclarations,
    names: Mapping[str, str],
    extras: Sequence[tuple[str, Declaration]],
    guests: int | None,
) -> NeedServed:
    answers = [(name, declarations.answer(code, need)) for code, name in names.items()]
    answers += [(name, answer_to(need, found, declarations.which)) for name, found in extras]
    dishes = tuple(DishAnswer(name, str(found.serves), found.codes) for name, found in answers)
    instead: tuple[str, ...] = ()
    if any(found.serves != Serves.FREE for _, found in answers):
        others = (product.name for product in declarations.serving(need) if product.code not in names)
        instead = tuple(islice(others, MOST_INSTEAD))
    return NeedServed(need, guests, dishes, instead)


def _of_extra(extra: TableExtra, which: str) -> Declaration:
    """Return what an extra declares. It was asked for allergens alone, so what else is in it is not checked."""
    if extra.food != CHECKED:
        return together([], which)
    answers = dict.fromkeys(extra.free_of, FREE) | dict.fromkeys(extra.may_contain, MAY)
    return declared(extra.allergens, answers, which)


def extra_unchecked(extra: TableExtra, which: str) -> tuple[str, ...]:
    """Return the allergens an extra was not checked for; none of what is no food and touches none."""
    return () if extra.food == NO_FOOD else _of_extra(extra, which).unchecked_allergens


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
            found.append(UncheckedDish(f"extra-{place}", extra.name, codes))
    return tuple(found)


def needs_of_lines(lines: Iterable[Line], needs: Iterable[str]) -> tuple[NeedServed, ...]:
    """Return what is known of guests' needs from lines that say only what they contain: contents of earlier days."""
    every = list(lines)
    return tuple(NeedServed(need, None, tuple(_dish_of_line(line, need) for line in every)) for need in needs)


def _dish_of_line(line: Line, need: str) -> DishAnswer:
    inside = tuple(sorted(covered(need) & set(line.allergens)))
    return DishAnswer(line.name, str(Serves.CONTAINS if inside else Serves.NOT_CHECKED), inside)
