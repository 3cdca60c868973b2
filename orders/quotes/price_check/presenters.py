"""The price check of a quote in words and charts."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from catalog.web import display
from catalog.web.charts.margins import MarginRow, margins
from orders.quotes.draft.presenters import ProblemShown, price_sentence, prices_chart, problems_shown
from orders.quotes.price_check.selectors import ExplainedIngredient, ExplainedLine, PriceCheck


@dataclass(frozen=True, slots=True)
class LineShown:
    """A line with a sentence that explains its price."""

    explained: ExplainedLine
    price: str


@dataclass(frozen=True, slots=True)
class IngredientShown:
    """An ingredient with the packs that are bought of it."""

    explained: ExplainedIngredient
    packs: str


@dataclass(frozen=True, slots=True)
class PriceCheckShown:
    """A price check in words and charts; its figures are written by the template."""

    problems: tuple[ProblemShown, ...]
    lines: tuple[LineShown, ...]
    ingredients: tuple[IngredientShown, ...]
    prices_chart: SafeString
    margins_chart: SafeString


def price_check_shown(check: PriceCheck) -> PriceCheckShown:
    """Write and draw the price check of a quote."""
    currency = check.estimate.currency if check.estimate else ""
    return PriceCheckShown(
        problems=problems_shown(check.problems),
        lines=tuple(LineShown(line, price_sentence(line.estimated, currency)) for line in check.lines),
        ingredients=tuple(IngredientShown(one, _packs_words(one)) for one in check.ingredients),
        prices_chart=prices_chart([line.estimated for line in check.lines], currency),
        margins_chart=_margins_chart(check) if check.lines else SafeString(""),
    )


def _packs_words(one: ExplainedIngredient) -> str:
    return ", ".join(f"{pack.count} × {display.measure(pack.size)}" for pack in one.packs)


def _margins_chart(check: PriceCheck) -> SafeString:
    """Draw each line's margin against its rule's and the kitchen's floor."""
    lines = (line.estimated for line in check.lines)
    return margins(
        [
            MarginRow(line.product.name, line.line.margin, line.rule.margin, check.floor)
            for line in lines
            if line.line.margin is not None
        ]
    )
