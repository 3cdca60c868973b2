"""What a sent quote states of a dessert, as an answer to a need: what was approved counts beside today's answers."""

from collections.abc import Iterable
from functools import reduce
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.declarations import NeedAnswer, Serves
from catalog.pantry.diets import DIETS
from catalog.pantry.other_needs import is_other
from orders.documents.content import DishAnswer, Line, NeedServed, QuoteContent

#: The worst answer last: of two answers the worse one counts.
FROM_GOOD_TO_BAD: Final = (Serves.FREE, Serves.NOT_CHECKED, Serves.MAY_CONTAIN, Serves.CONTAINS)


def worse(one: NeedAnswer, other: NeedAnswer) -> NeedAnswer:
    """Return the worse of two answers; of two that are alike the codes of both."""
    first, second = FROM_GOOD_TO_BAD.index(one.serves), FROM_GOOD_TO_BAD.index(other.serves)
    if first != second:
        return one if first > second else other
    if not one.codes or not other.codes:
        return one
    return NeedAnswer(one.serves, tuple(dict.fromkeys([*one.codes, *other.codes])))


def stated_answer(need: str, line: Line) -> NeedAnswer:
    """Return what a line of a sent quote says against a need; free where it says nothing against it.

    A line never proves that something is free: that is for today's answers to say besides.
    """
    diet = DIETS.get(need)
    avoided = diet.excludes if diet else covered(need)
    for serves, codes in (
        (Serves.CONTAINS, (*line.allergens, *line.made_with)),
        (Serves.MAY_CONTAIN, () if diet else line.may_contain),
        (Serves.NOT_CHECKED, line.unchecked),
    ):
        if inside := tuple(code for code in codes if code in avoided):
            return NeedAnswer(serves, inside)
    return NeedAnswer(Serves.FREE)


def product_answer(need: str, product: str, content: QuoteContent, today: NeedAnswer) -> NeedAnswer:
    """Return what a product of a sent quote answers to a need, by all the lines that sell it and by today."""
    lines = [line for line in content.lines if line.product == product]
    if is_other(need):
        names = {line.name for line in lines}
        dishes = (dish for one in content.needs or () if one.need == need for dish in one.dishes if dish.name in names)
        return reduce(worse, (NeedAnswer(Serves(dish.serves), dish.codes) for dish in dishes), today)
    return reduce(worse, (stated_answer(need, line) for line in lines), today)


def needs_of_lines(lines: Iterable[Line], needs: Iterable[str]) -> tuple[NeedServed, ...]:
    """Return what is known of guests' needs from lines that say only what they contain: contents of earlier days."""
    every = list(lines)
    return tuple(NeedServed(need, None, tuple(_dish_of_line(line, need) for line in every)) for need in needs)


def _dish_of_line(line: Line, need: str) -> DishAnswer:
    inside = tuple(sorted(covered(need) & set(line.allergens)))
    return DishAnswer(line.name, str(Serves.CONTAINS if inside else Serves.NOT_CHECKED), inside)
