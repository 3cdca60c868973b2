"""What the desserts of a table declare, and which of them serve the needs of the guests."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.declarations import Serves
from catalog.products.declarations import BookDeclarations, OpenQuestion, declarations_of
from costing.contract import Book, Product
from orders.documents.content import DishAnswer, Line, NeedServed
from orders.inquiries.models import Inquiry

#: Most other desserts that are named for one need.
MOST_INSTEAD: Final = 3


@dataclass(frozen=True, slots=True)
class UncheckedDish:
    """A dessert that was not checked for some allergens: its product, and the ingredients nobody answered for."""

    product: Product
    codes: tuple[str, ...]
    ingredients: tuple[OpenQuestion, ...]


def needs_served(book: Book, products: Sequence[str], inquiry: Inquiry) -> tuple[NeedServed, ...]:
    """Return for each need of an inquiry which desserts of a table serve it, and which others of the kitchen would."""
    declarations = declarations_of(book)
    names = {code: book.product(code).name for code in products}
    return tuple(_need(need, declarations, names, inquiry.need_counts.get(need)) for need in inquiry.allergies)


def _need(need: str, declarations: BookDeclarations, names: Mapping[str, str], guests: int | None) -> NeedServed:
    answers = {code: declarations.answer(code, need) for code in names}
    dishes = tuple(DishAnswer(names[code], str(found.serves), found.codes) for code, found in answers.items())
    instead: tuple[str, ...] = ()
    if any(found.serves != Serves.FREE for found in answers.values()):
        others = (product.name for product in declarations.serving(need) if product.code not in names)
        instead = tuple(name for name, _ in zip(others, range(MOST_INSTEAD), strict=False))
    return NeedServed(need, guests, dishes, instead)


def unmet(needs: Iterable[NeedServed]) -> tuple[NeedServed, ...]:
    """Return the needs that some dessert does not serve, or may not serve."""
    return tuple(need for need in needs if any(dish.serves != Serves.FREE for dish in need.dishes))


def unchecked_dishes(book: Book, products: Iterable[str]) -> tuple[UncheckedDish, ...]:
    """Return the desserts that were not checked for every allergen of the list, in the order given."""
    declarations = declarations_of(book)
    found = []
    for code in products:
        if codes := declarations.of(code).unchecked_allergens:
            found.append(UncheckedDish(book.product(code), codes, declarations.open_questions(code)))
    return tuple(found)


def needs_of_lines(lines: Iterable[Line], needs: Iterable[str]) -> tuple[NeedServed, ...]:
    """Return what is known of guests' needs from lines that say only what they contain: contents of earlier days."""
    every = list(lines)
    return tuple(NeedServed(need, None, tuple(_dish_of_line(line, need) for line in every)) for need in needs)


def _dish_of_line(line: Line, need: str) -> DishAnswer:
    inside = tuple(sorted(covered(need) & set(line.allergens)))
    return DishAnswer(line.name, str(Serves.CONTAINS if inside else Serves.NOT_CHECKED), inside)
