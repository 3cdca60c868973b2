"""How the kitchen's own products cool, as the command prints it."""

from collections.abc import Iterator, Sequence
from typing import Any

from catalog.book.command_presenters import book_checked
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.selectors import Cooled, cooled
from costing.chilling import case_to_json, longest_out, report, report_to_json
from costing.contract import CostingError, InputErrors


def products_to_json(codes: Sequence[str]) -> list[dict[str, Any]]:
    """Return one answer for each stretch of cooling of these products.

    Raises
    ------
    InputErrors
        When the Book cannot be read, a code is not known, or something is missing; every one at once.
    """
    book = book_checked()
    wrong: list[CostingError] = []
    known = {product.code for product in book.products}
    for code in codes:
        if code not in known:
            wrong.append(CostingError("unknown_product", f"product#/{code}", f"There is no product “{code}”."))
    found = cooled([code for code in codes if code in known], book)
    for code, one in found.items():
        if one.missing is not None:
            wrong.append(CostingError("schema", f"product#/{code}", missing_sentence(one.missing)))
        elif not one.cycles:
            told = f"{one.product} asks for no cooling. Say in a step how warm it leaves."
            wrong.append(CostingError("schema", f"product#/{code}", told))
    if wrong:
        raise InputErrors(wrong)
    away_c = float(book.kitchen.described.away_c)
    return [told for code in dict.fromkeys(codes) for told in _told(found[code], away_c)]


def _told(one: Cooled, away_c: float) -> Iterator[dict[str, Any]]:
    for run in one.cycles:
        plan = run.plan
        out = longest_out(plan.rule, plan.body, plan.food, one.product.carried, away_c)
        yield {
            "product": one.product.code,
            "after": str(run.after),
            "case": case_to_json(plan, run.mixture),
            **report_to_json(plan, report(plan)),
            "out_of_the_cold": {
                "carried": one.product.carried,
                "air_c": away_c,
                "minutes": None if out is None else round(out.minutes, 1),
                "source": None if out is None or out.clause is None else out.clause.source,
            },
            "notes": list(map(note_sentence, run.notes)),
        }
