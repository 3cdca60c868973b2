"""The batches that some units of products take, and how each cools."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import Final

from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.cooling.known import KnownByBook
from catalog.recipes.models import Recipe
from costing.contract import Book
from costing.requirements.compiled_book import compile_book
from costing.requirements.workings import ExactWorkings

#: What is needed depends on no day: only prices do.
_ANY_DAY: Final = date(2000, 1, 1)

_NEEDED: KnownByBook[frozenset[tuple[str, int]], list[tuple[str, Fraction]]] = KnownByBook(most=1_000)
_KEYS: KnownByBook[str, int] = KnownByBook()


def batches_judged(units: Mapping[str, int], book: Book) -> list[tuple[int, BatchCold]]:
    """Return how the batches cool that some units of products take, each with its recipe's primary key.

    Only those whose steps say how warm they leave. One query for a Book, and none where no recipe says so.
    """
    stated = {recipe.code for recipe in book.recipes if any(step.leaves_c is not None for step in recipe.steps)}
    if not stated:
        return []
    keys = _KEYS.of(book)
    if not keys:
        keys.update(Recipe.objects.values_list("code", "pk"))
    wanted = [(code, grams) for code, grams in _needed(units, book) if code in stated]
    return [(keys.get(cold.recipe.code, 0), cold) for cold in batch_colds(wanted, book)]


def _needed(units: Mapping[str, int], book: Book) -> list[tuple[str, Fraction]]:
    known, key = _NEEDED.of(book), frozenset(units.items())
    found = known.get(key)
    if found is None:
        compiled = compile_book(book)
        asked = [
            compiled.line_demand(compiled.product_at[code], count)
            for code, count in sorted(units.items())
            if code in compiled.product_at
        ]
        batches = ExactWorkings(compiled, compiled.exact, tuple(asked), _ANY_DAY).demand[0]
        found = known[key] = [
            (compiled.recipes[at].code, batch.grams) for at, batch in batches.items() if batch.grams > 0
        ]
    return found
