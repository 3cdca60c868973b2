"""The change that is named first where a batch or a product breaks its rule: one that meets it at the slow end too."""

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from catalog.book.known import KnownByBook
from catalog.cooling.batch_remedies import batch_remedies_for
from catalog.cooling.batch_reports import batch_colds
from catalog.cooling.batches import vessels_short
from catalog.cooling.remedies import Remedies, remedies_for
from catalog.cooling.selectors import cooled
from catalog.records.reasons import Reason
from costing.chilling import is_unmet, trial
from costing.contract import Book

#: What needs nothing but vessels goes before other changes: it is done at once, and ties up no batch. A lid needs none.
_AT_HAND: Final = ("lid_off", "divided", "in_vessel", "in_vessels")
_KNOWN: KnownByBook[tuple[str, Fraction | None], Reason | None] = KnownByBook(most=500)


def first_remedy(code: str, grams: Fraction | None, book: Book) -> Reason | None:
    """Return a change with which the first cooling that breaks its rule meets it; None where none that is tried does.

    Parameters
    ----------
    code : str
        Code of a recipe; without ``grams``, of a product.
    grams : Fraction or None
        How much of the recipe is made [g].
    book : Book
        The Book it is judged by; worked out once for it, without a query.
    """
    known, key = _KNOWN.of(book), (code, grams)
    if key not in known:
        tried = _of_product(code, book) if grams is None else _of_batch(code, grams, book)
        known[key] = next(map(_first, tried), None)
    return known[key]


def _of_batch(code: str, grams: Fraction, book: Book) -> Iterator[Remedies]:
    for one in batch_colds([(code, grams)], book):
        for each in one.times:
            if is_unmet(each.trial.verdict, timed=bool(each.trial.legs)) or vessels_short(each.cycle) is not None:
                yield batch_remedies_for(each.cycle, book, one.batches)


def _of_product(code: str, book: Book) -> Iterator[Remedies]:
    for one in cooled([code], book).values():
        for cycle in one.cycles:
            found = trial(cycle.plan)
            if is_unmet(found.verdict, timed=bool(found.legs)):
                yield remedies_for(cycle, one.product, book.molds)


def _first(found: Remedies) -> Reason | None:
    helping = [one.change for one in found.tried if one.helps]
    return next((change for change in helping if change.code in _AT_HAND), helping[0] if helping else None)
