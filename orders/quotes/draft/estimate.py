"""What the table on the sheet comes to, and what is in the way of sending it; nothing is written."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from math import ceil
from zoneinfo import ZoneInfo

from django.urls import reverse

from catalog.book.presenters import shown_problems
from catalog.book.problems import problems_of
from catalog.book.selectors import book_current, book_problems
from catalog.cooling.selectors import cold_times
from catalog.kitchen.models import Kitchen
from catalog.price_rules.presenters import fits_words
from catalog.records.errors import CannotPrice
from catalog.web import display
from costing.contract import Book, CostingError, Estimate, InputErrors, LineEstimate, PriceRule, Product
from costing.estimating.engine import estimate
from costing.money.rounding import minor_digits, to_minor
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import Clash, clashes
from orders.quotes.draft.briefs import DessertTable, brief_of
from orders.quotes.draft.cooling import ColdNote, notes
from orders.quotes.draft.windows import WindowAnswer, window_answer


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing in the way: a sentence, and where it is put right. ``product`` names the line it stands beside."""

    sentence: str
    link: str = ""
    product: str = ""


@dataclass(frozen=True, slots=True)
class EstimatedLine:
    """One line with what was computed for it."""

    product: Product
    line: LineEstimate
    rule: str

    @property
    def left(self) -> Fraction:
        """What is left of the net amount after all costs: the margin in money."""
        return self.line.net - self.line.cost

    @property
    def markup(self) -> Fraction | None:
        """The margin's money as a share of the cost; margin is its share of the net price."""
        return self.left / self.line.cost if self.line.cost else None


@dataclass(frozen=True, slots=True)
class DraftEstimate:
    """What a table comes to. Without an estimate ``troubles`` says why."""

    table: DessertTable
    currency: str
    estimate: Estimate | None
    lines: tuple[EstimatedLine, ...]
    problems: tuple[Problem, ...]
    cautions: tuple[str, ...]
    clashes: tuple[Clash, ...]
    wanted: int | None
    floor: Fraction
    window: WindowAnswer | None
    past: bool = False
    cold: tuple[ColdNote, ...] = ()

    @property
    def by_code(self) -> Mapping[str, EstimatedLine]:
        """The lines by product code."""
        return {line.product.code: line for line in self.lines}

    @property
    def spread(self) -> tuple[EstimatedLine, ...]:
        """The lines that share in the pieces; all of them where none has a share."""
        shared = {line.code for line in self.table.lines if line.share is not None}
        return tuple(line for line in self.lines if not shared or line.product.code in shared)

    @property
    def beside(self) -> tuple[EstimatedLine, ...]:
        """What stands beside the shared pieces: the centrepiece."""
        return tuple(line for line in self.lines if line not in self.spread)

    @property
    def servings(self) -> int:
        """Pieces the shared lines give."""
        return sum(line.line.servings for line in self.spread)

    @property
    def over(self) -> int | None:
        """Pieces more than asked for."""
        return None if self.wanted is None else max(0, self.servings - self.wanted)

    @property
    def short(self) -> int | None:
        """Pieces fewer than asked for."""
        return None if self.wanted is None else max(0, self.wanted - self.servings)

    @property
    def total_minor(self) -> int | None:
        """What the customer pays, tax included."""
        if self.estimate is None:
            return None
        return to_minor(self.estimate.totals.total, minor_digits(self.currency))

    @property
    def markup(self) -> Fraction | None:
        """Markup on the goods: what is left of their net price as a share of their cost."""
        margin = self.estimate.totals.goods_margin if self.estimate else None
        return None if margin is None or margin == 1 else margin / (1 - margin)

    @property
    def below_floor(self) -> bool:
        """Whether the goods earn less than the kitchen's floor margin."""
        return self.estimate is not None and self.estimate.totals.below_floor


def estimate_draft(
    table: DessertTable,
    *,
    inquiry: Inquiry,
    kitchen: Kitchen,
    now: datetime,
    guests: int | None = None,
    pieces_per_guest: Decimal | None = None,
) -> DraftEstimate:
    """Compute what a table comes to with today's Book, and whether it can be ready; the same queries for any table.

    ``guests`` and ``pieces_per_guest`` are those on the sheet, kept or not.
    """
    wanted = None
    if guests and pieces_per_guest:
        wanted = ceil(guests * Fraction(pieces_per_guest))
    try:
        book = book_current()
    except CannotPrice:
        stops = tuple(Problem(problem.message, problem.link) for problem in shown_problems(book_problems()))
        return _nothing(table, kitchen, stops, wanted)
    day = now.astimezone(ZoneInfo(kitchen.time_zone)).date()
    found = estimate_draft_with(book, table, inquiry=inquiry, kitchen=kitchen, day=day, wanted=wanted)
    if found.estimate is None:
        return found
    cold = cold_times([line.code for line in table.lines], book)
    window = window_answer(book, found.estimate, inquiry=inquiry, kitchen=kitchen, now=now, cold=cold)
    return replace(found, window=window, past=inquiry.window_start <= now, cold=notes(cold, book, inquiry, kitchen))


def estimate_draft_with(
    book: Book, table: DessertTable, *, inquiry: Inquiry, kitchen: Kitchen, day: date, wanted: int | None = None
) -> DraftEstimate:
    """Compute what a table comes to with a given Book; its window is not asked about."""
    if not table.lines:
        return _nothing(table, kitchen, (), wanted)
    brief = brief_of(table, inquiry=inquiry, currency=book.currency, day=day)
    try:
        found = estimate(book, brief)
    except InputErrors as errors:
        return _nothing(table, kitchen, problems_of_errors(errors.errors, table, book), wanted)
    lines = estimated_lines(book, found, [line.code for line in table.lines])
    names = {line.product.code: line.product.name for line in lines}
    return DraftEstimate(
        table=table,
        currency=book.currency,
        estimate=found,
        lines=lines,
        problems=(),
        cautions=tuple(_cautions(found, book, inquiry)),
        clashes=clashes(found.allergens, names, inquiry.allergies),
        wanted=wanted,
        floor=book.kitchen.floor_margin,
        window=None,
    )


def estimated_lines(book: Book, found: Estimate, order: Sequence[str]) -> tuple[EstimatedLine, ...]:
    """Return an estimate's lines in the table's order, each with its product and its rule in words."""
    place = {code: at for at, code in enumerate(order)}
    lines = sorted(found.lines, key=lambda line: place.get(line.product, len(place)))
    return tuple(EstimatedLine(book.product(line.product), line, rule_words(book, line)) for line in lines)


def _nothing(table: DessertTable, kitchen: Kitchen, problems: tuple[Problem, ...], wanted: int | None) -> DraftEstimate:
    return DraftEstimate(
        table=table,
        currency=kitchen.currency,
        estimate=None,
        lines=(),
        problems=problems,
        cautions=(),
        clashes=(),
        wanted=wanted,
        floor=Fraction(kitchen.floor_margin),
        window=None,
    )


def problems_of_errors(errors: Sequence[CostingError], table: DessertTable, book: Book) -> tuple[Problem, ...]:
    """Turn the computation's errors into sentences beside the line they concern, linked to what fixes them."""
    in_book = iter(shown_problems(problems_of((one for one in errors if one.at.startswith("book#")), book)))
    found = []
    for error in errors:
        if error.at.startswith("book#"):
            problem = next(in_book)
            found.append(Problem(problem.message, problem.link))
        else:
            found.append(_problem_in_brief(error, table))
    return tuple(found)


def _problem_in_brief(error: CostingError, table: DessertTable) -> Problem:
    steps = error.at.partition("#")[2].split("/")[1:]
    product = ""
    if steps[:1] == ["lines"] and len(steps) > 1 and steps[1].isdigit() and int(steps[1]) < len(table.lines):
        product = table.lines[int(steps[1])].code
    link = ""
    if error.code == "no_price_rule":
        link = reverse("kitchen-rules")
    elif error.code == "no_delivery":
        link = reverse("kitchen-delivery")
    return Problem(error.message, link, product)


def rule_words(book: Book, line: LineEstimate) -> str:
    """Say in words how the unit price came about."""
    target = display.amount(line.target_price, book.currency)
    rule = book.price_rule(line.rule)
    by_rule = f"the rule “{_fits(book, rule)}” asks for a margin of {display.percent(rule.margin)}: {target} each"
    if line.basis == "given":
        return f"Price given by hand; {by_rule}."
    if line.basis == "list":
        return f"List price; {by_rule}."
    return f"{by_rule[:1].upper()}{by_rule[1:]}."


def _fits(book: Book, rule: PriceRule) -> str:
    product = book.product(rule.product).name if rule.product else ""
    return fits_words(rule, product)


def _with_rules_named(message: str, book: Book) -> str:
    """Write what a price rule fits in place of its code: the computation knows codes only."""
    for rule in book.price_rules:
        message = message.replace(f"the rule “{rule.code}”", f"the rule “{_fits(book, rule)}”")
    return message


def _cautions(found: Estimate, book: Book, inquiry: Inquiry) -> list[str]:
    told = (one.message for one in found.warnings if one.code not in ("below_floor", "leftover"))
    said = [_with_rules_named(message, book) for message in told]
    said += _leftovers(found, book)
    total = to_minor(found.totals.total, minor_digits(found.currency))
    if inquiry.budget_minor is not None and total > inquiry.budget_minor:
        over = display.minor(total - inquiry.budget_minor, found.currency)
        said.append(f"{over} above the budget of {display.minor(inquiry.budget_minor, found.currency)}.")
    if found.delivery is not None and not inquiry.km and not inquiry.minutes:
        said.append("The way to the place is not known yet: delivery is reckoned as if next door.")
    return said


def _leftovers(found: Estimate, book: Book) -> list[str]:
    """Say which packs are bought for a part of them, how small a part, and what is left over."""
    codes = {book.ingredients[int(one.at.rsplit("/", 1)[1])].code for one in found.warnings if one.code == "leftover"}
    said = []
    for one in found.ingredients:
        if one.ingredient not in codes or one.leftover is None:
            continue
        packs = display.joined(f"{pack.count} × {display.measure(pack.size)}" for pack in one.packs or ())
        used = display.percent(one.as_purchased / (one.as_purchased + one.leftover), 0)
        said.append(
            f"{book.ingredient(one.ingredient).name}: {packs} is bought and {used} of it used; "
            f"{display.amount(one.leftover_value, found.currency)} is left over."
        )
    return said


def rounding_words(draft_estimate: DraftEstimate) -> str:
    """Say what sale multiples add to what was asked for, where one step fewer would still be enough."""
    spare = draft_estimate.over or 0
    for line in sorted(draft_estimate.spread, key=lambda line: -line.product.sale_multiple * line.line.unit_price):
        step = line.product.sale_multiple
        if step > 1 and step * line.product.servings <= spare and line.line.units > step:
            less = display.amount(line.line.unit_price * step, draft_estimate.currency)
            return f"{step} fewer of {line.product.name} would still be enough and save {less}."
    return ""
