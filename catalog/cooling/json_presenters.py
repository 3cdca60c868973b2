"""The cooling of the kitchen's products as JSON, as the command ``cooling`` prints it."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.utils.translation import gettext

from catalog.book.command_presenters import book_checked
from catalog.cooling.answered_steps import steps_beside
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.never_hot_claims import claims_beside
from catalog.cooling.presenters import cooling_page
from catalog.cooling.reports import cooling_report
from catalog.cooling.selectors import Cooled, cooled
from catalog.products.selectors import products_whole, usual_units
from costing.chilling import case_to_json, report, report_to_json, time_out_limit
from costing.contract import Book, CostingError, InputErrors


def products_to_json(codes: Sequence[str]) -> list[dict[str, Any]]:
    """Return one answer for each cooling cycle of these products.

    Raises
    ------
    InputErrors
        When the Book cannot be read, a code is unknown, or something is missing; lists all of them.
    """
    book = book_checked()
    wrong: list[CostingError] = []
    known = {product.code for product in book.products}
    for code in codes:
        if code not in known:
            message = gettext("There is no product “%(code)s”.") % {"code": code}
            wrong.append(CostingError("unknown_product", f"product#/{code}", message))
    found = cooled([code for code in codes if code in known], book)
    for code, one in found.items():
        if one.missing is not None:
            wrong.append(CostingError("schema", f"product#/{code}", missing_sentence(one.missing)))
        elif not one.cycles:
            message = gettext(
                "%(product)s: no cooling is stated. Enter its temperature at the end of a step (“Leaves at”)."
            ) % {"product": one.product}
            wrong.append(CostingError("schema", f"product#/{code}", message))
    if wrong:
        raise InputErrors(wrong)
    away_c = float(book.kitchen.described.away_c)
    return [
        answer for code in dict.fromkeys(codes) for answer in _answers(found[code], away_c, _not_settled(code, book))
    ]


def _answers(one: Cooled, away_c: float, open_: list[str]) -> Iterator[dict[str, Any]]:
    for cycle in one.cycles:
        plan = cycle.plan
        out = time_out_limit(plan.rule, plan.body, plan.food, one.product.carried, away_c, top=plan.top)
        yield {
            "product": one.product.code,
            "after": str(cycle.after),
            "case": case_to_json(plan, cycle.mixture, cycle.above),
            **report_to_json(plan, report(plan)),
            "out_of_the_cold": {
                "carried": one.product.carried,
                "air_c": away_c,
                "minutes": None if out is None else round(out.minutes, 1),
                "source": None if out is None or out.clause is None else out.clause.source,
            },
            "notes": [note_sentence(note) for note in cycle.notes],
            "not_settled": open_,
        }


def _not_settled(code: str, book: Book) -> list[str]:
    """Write what its page has open beside its own verdict: what is not entered, batches in it, and steps."""
    row = products_whole().get(code=code)
    page = cooling_page(cooling_report(row, usual_units(row)))
    text = gettext("%(name)s: %(sentence)s")
    parts = (text % {"name": one.name, "sentence": one.sentence} for one in page.parts if one.to_measure)
    asked = gettext("%(name)s, “%(step)s”: not answered yet whether it is cold.")
    steps = (
        asked % {"name": one.name, "step": each} for one in steps_beside(claims_beside(code, book)) for each in one.open
    )
    return [*([] if page.missing is None else [page.missing.sentence]), *page.waiting, *parts, *steps]
