"""The draft estimate in words: problems with links, warnings, how each price was computed, a chart."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from django.urls import reverse
from django.utils.safestring import SafeString

from catalog.book.presenters import shown_problems
from catalog.book.problems import BookProblem
from catalog.pantry.presenters import allergen_words
from catalog.price_rules.presenters import fits_words
from catalog.web import display
from catalog.web.charts.makeup import MakeUp, price_makeup
from costing.contract import Advice
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import Clash
from orders.quotes.draft.cooling_words import ColdNoteShown, cold_notes_shown
from orders.quotes.draft.estimate import DraftEstimate, EstimatedLine, Leftover, Problem, TableProblem
from orders.quotes.draft.window_words import WindowShown, window_shown

#: The caution shown with every list of allergens.
ALLERGEN_CAUTION: Final = "Allergens come from what you entered for each ingredient: check the suppliers' labels."

#: Error of the computation about a table -> the page where it can be fixed, if that is not the table itself.
_PAGES: Final = {"no_price_rule": "kitchen-rules", "no_delivery": "kitchen-delivery"}


@dataclass(frozen=True, slots=True)
class ProblemShown:
    """A problem: a sentence, the page where it can be fixed, and the product whose line it is shown at."""

    sentence: str
    link: str = ""
    product: str = ""


@dataclass(frozen=True, slots=True)
class DraftShown:
    """Problems and warnings of a draft in words; templates write the figures."""

    problems: tuple[ProblemShown, ...]
    window: WindowShown | None
    clashes: tuple[str, ...]
    cautions: tuple[str, ...]
    cold_notes: tuple[ColdNoteShown, ...]


def draft_shown(found: DraftEstimate, inquiry: Inquiry) -> DraftShown:
    """Write the problems and warnings of a draft."""
    return DraftShown(
        problems=problems_shown(found.problems),
        window=window_shown(found.window),
        clashes=tuple(map(_clash_sentence, found.clashes)),
        cautions=tuple(_cautions(found, inquiry)),
        cold_notes=cold_notes_shown(found.cold),
    )


def problems_shown(problems: Sequence[Problem]) -> tuple[ProblemShown, ...]:
    """Write the problems that prevent pricing, each with the page where it can be fixed."""
    if not problems:
        return ()
    in_book = iter(shown_problems(problem for problem in problems if isinstance(problem, BookProblem)))
    return tuple(
        _table_problem(problem)
        if isinstance(problem, TableProblem)
        else ProblemShown((shown := next(in_book)).message, shown.link)
        for problem in problems
    )


def _table_problem(problem: TableProblem) -> ProblemShown:
    page = _PAGES.get(problem.code)
    return ProblemShown(problem.message, reverse(page) if page else "", problem.product)


def _clash_sentence(clash: Clash) -> str:
    return f"{clash.product} holds {allergen_words(clash.allergens)}, which a guest cannot eat."


def _cautions(found: DraftEstimate, inquiry: Inquiry) -> Iterator[str]:
    for advice in found.advice:
        yield _advice_sentence(advice, found.lines)
    for leftover in found.leftovers:
        yield _leftover_sentence(leftover, found.currency)
    if found.over_budget_minor:
        over, budget = (display.minor(each, found.currency) for each in (found.over_budget_minor, inquiry.budget_minor))
        yield f"{over} above the budget of {budget}."
    if found.way_unknown:
        yield "The way to the place is not known yet: delivery is counted as if next door."


def _advice_sentence(advice: Advice, lines: Iterable[EstimatedLine]) -> str:
    """Write the computation's sentence, with a description of the price rule instead of its code."""
    code = advice.params.get("rule")
    if code is None:
        return advice.message
    fits = next(_rule_fits(line) for line in lines if line.rule.code == code)
    return replace(advice, params={**advice.params, "rule": fits}).message


def _leftover_sentence(leftover: Leftover, currency: str) -> str:
    packs = display.joined(f"{pack.count} × {display.measure(pack.size)}" for pack in leftover.packs)
    return (
        f"{leftover.ingredient}: {packs} is bought and {display.percent(leftover.used, 0)} of it used; "
        f"{display.amount(leftover.worth, currency)} is left over."
    )


def fewer_sentence(found: DraftEstimate) -> str:
    """Write of which product one sale multiple less would be enough; empty if of none."""
    fewer = found.fewer
    if fewer is None:
        return ""
    saves = display.amount(fewer.saves, found.currency)
    return f"{fewer.units} fewer of {fewer.product} would still be enough and save {saves}."


def price_sentence(line: EstimatedLine, currency: str) -> str:
    """Write how the price of one unit was computed."""
    target = display.amount(line.line.target_price, currency)
    margin = display.percent(line.rule.margin)
    by_rule = f"the rule “{_rule_fits(line)}” asks for a margin of {margin}: {target} each"
    if line.line.basis == "given":
        return f"Price given by hand; {by_rule}."
    if line.line.basis == "list":
        return f"List price; {by_rule}."
    return f"{by_rule[:1].upper()}{by_rule[1:]}."


def _rule_fits(line: EstimatedLine) -> str:
    return fits_words(line.rule, line.rule_product)


def prices_chart(lines: Sequence[EstimatedLine], currency: str) -> SafeString:
    """Draw the components of each line's net amount: ingredients, packaging, labor, overhead and margin."""
    return price_makeup([_make_up(line) for line in lines], currency=currency) if lines else SafeString("")


def _make_up(line: EstimatedLine) -> MakeUp:
    one = line.line
    return MakeUp(line.product.name, one.net, one.ingredients, one.packaging, one.labor, one.overhead)
