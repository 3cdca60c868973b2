"""The draft estimate: costs and charges of a table, or the problems that prevent pricing. Nothing is saved."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Final
from zoneinfo import ZoneInfo

from catalog.book.selectors import BookProblem, book_current, book_problems, problems_of
from catalog.cooling.selectors import cold_times
from catalog.kitchen.models import Kitchen
from catalog.products.claims import UnprovenClaim
from catalog.records.errors import CannotPrice
from costing.contract import Advice, Book, CostingError, Estimate, InputErrors, LineEstimate, PriceRule, Product
from costing.contract.estimate import PackCount
from costing.estimating.engine import estimate
from costing.money.rounding import minor_digits, to_minor
from orders.documents.content import NeedServed
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import UncheckedDish, needs_served, unchecked_dishes
from orders.quotes.draft.claims import table_claims
from orders.quotes.draft.cooling import ColdNote, notes, wait_notes
from orders.quotes.draft.dessert_table import DessertTable, brief_of, is_portion
from orders.quotes.draft.note_needs import NoteOpen, note_open
from orders.quotes.draft.suggestions import serving_every
from orders.quotes.draft.windows import WindowAnswer, window_answer


@dataclass(frozen=True, slots=True)
class TableProblem:
    """An error of the computation about the table itself; ``product`` is the code of the line it is about, if any."""

    code: str
    message: str
    product: str = ""


#: A problem that prevents pricing, of the catalog or of the table.
Problem = BookProblem | TableProblem


@dataclass(frozen=True, slots=True)
class EstimatedLine:
    """One line with its computed values and the price rule applied; ``rule_product`` is that rule's product."""

    product: Product
    line: LineEstimate
    rule: PriceRule
    rule_product: str

    @property
    def left(self) -> Fraction:
        """The margin in money: net amount less all costs."""
        return self.line.net - self.line.cost

    @property
    def markup(self) -> Fraction | None:
        """Markup: the margin in money as a share of the cost."""
        return self.left / self.line.cost if self.line.cost else None


#: Thirds in whole percents, or with one decimal, are as good as the whole.
_NEARLY_WHOLE: Final = Fraction(1, 80)


@dataclass(frozen=True, slots=True)
class Leftover:
    """Packs of which only a part is used: that part, and the value of the rest [share, currency]."""

    ingredient: str
    packs: tuple[PackCount, ...]
    used: Fraction
    worth: Fraction


@dataclass(frozen=True, slots=True)
class FewerUnits:
    """A number of units of a product that could be left out, and the money saved [currency]."""

    product: str
    units: int
    saves: Fraction


@dataclass(frozen=True, slots=True)
class DraftEstimate:
    """The draft estimate of a table. Without an ``estimate``, ``problems`` says why; ``book`` is what priced it.

    ``asked`` are the pieces the guests need; ``needs`` says which desserts serve their needs, ``for_every_need``
    which others would serve all of them, and ``unchecked`` which desserts nobody checked for every allergen;
    ``note_open`` is the allergy note where no needs stand for it. ``advice``, ``leftovers``, ``over_budget_minor`` and
    an unknown distance are warnings for the owner. It is ``partial`` while a row of the form is left out: then nothing
    is known of the whole, neither its total nor how many pieces are short.
    """

    table: DessertTable
    currency: str
    floor: Fraction
    asked: int | None
    estimate: Estimate | None = None
    book: Book | None = None
    problems: tuple[Problem, ...] = ()
    lines: tuple[EstimatedLine, ...] = ()
    needs: tuple[NeedServed, ...] = ()
    for_every_need: tuple[str, ...] | None = None
    unchecked: tuple[UncheckedDish, ...] = ()
    claims: tuple[UnprovenClaim, ...] = ()
    note_open: NoteOpen | None = None
    advice: tuple[Advice, ...] = ()
    leftovers: tuple[Leftover, ...] = ()
    over_budget_minor: int = 0
    way_unknown: bool = False
    window: WindowAnswer | None = None
    past: bool = False
    cold: tuple[ColdNote, ...] = ()
    partial: bool = False

    @property
    def by_code(self) -> Mapping[str, EstimatedLine]:
        """The lines by product code."""
        return {line.product.code: line for line in self.lines}

    @property
    def begins(self) -> datetime | None:
        """The latest start of work, ignoring other orders; None where it is unknown, or the window does not work."""
        return self.window.begins if self.window else None

    @property
    def slight(self) -> tuple[Leftover, ...]:
        """What is left over of packs and worth less than a hundredth of the total."""
        total = self.estimate.totals.total if self.estimate else 0
        return tuple(one for one in self.leftovers if one.worth * 100 < total)

    @property
    def shares(self) -> tuple[Fraction, ...]:
        """The shares of the pieces where they do not add up to the whole; empty where they do, or there are none."""
        shares = tuple(Fraction(line.share) for line in self.table.lines if line.share)
        return shares if shares and not self.partial and abs(sum(shares, Fraction(-1))) >= _NEARLY_WHOLE else ()

    @property
    def workless(self) -> tuple[str, ...]:
        """The names of products no minute of whose making is counted, though they cost something."""
        return tuple(line.product.name for line in self.lines if not line.line.labor_minutes and line.line.cost)

    @property
    def shared(self) -> tuple[EstimatedLine, ...]:
        """The lines that are pieces for the guests: with a share, or portions; all lines where none has a share."""
        shared = {line.code for line in self.table.lines if line.share is not None}
        return tuple(
            line
            for line in self.lines
            if not shared or line.product.code in shared or is_portion(line.product.servings)
        )

    @property
    def by_hand(self) -> int:
        """The pieces of portions whose quantity was entered without a share, where others have one."""
        shared = {line.code for line in self.table.lines if line.share is not None}
        return sum(line.line.servings for line in self.shared if shared and line.product.code not in shared)

    @property
    def centerpieces(self) -> tuple[EstimatedLine, ...]:
        """The whole cakes without a share, where others have one."""
        return tuple(line for line in self.lines if line not in self.shared)

    @property
    def servings(self) -> int:
        """Pieces of the lines that are pieces for the guests."""
        return sum(line.line.servings for line in self.shared)

    @property
    def over(self) -> int | None:
        """Pieces beyond those needed."""
        return None if self.asked is None or self.partial else max(0, self.servings - self.asked)

    @property
    def short(self) -> int | None:
        """Pieces missing."""
        return None if self.asked is None or self.partial else max(0, self.asked - self.servings)

    @property
    def fewer(self) -> FewerUnits | None:
        """The product of which one sale multiple less would be enough and saves most."""
        spare = self.over or 0
        for line in sorted(self.shared, key=lambda line: -line.product.sale_multiple * line.line.unit_price):
            step = line.product.sale_multiple
            if step > 1 and step * line.product.servings <= spare and line.line.units > step:
                return FewerUnits(line.product.name, step, line.line.unit_price * step)
        return None

    def without_whole(self) -> "DraftEstimate":
        """Return the estimate of the rows that could be read, where others are left out."""
        return replace(self, partial=True, over_budget_minor=0, leftovers=())

    @property
    def total_minor(self) -> int | None:
        """The customer's total, tax included."""
        if self.estimate is None:
            return None
        return to_minor(self.estimate.totals.total, minor_digits(self.currency))

    @property
    def markup(self) -> Fraction | None:
        """Markup on the goods: their margin in money as a share of their cost."""
        margin = self.estimate.totals.goods_margin if self.estimate else None
        return None if margin is None or margin == 1 else margin / (1 - margin)

    @property
    def below_floor(self) -> bool:
        """Whether the goods earn less than the kitchen's floor margin."""
        return self.estimate is not None and not self.partial and self.estimate.totals.below_floor


def estimate_draft(
    table: DessertTable,
    *,
    inquiry: Inquiry,
    kitchen: Kitchen,
    now: datetime,
    guests: int | None = None,
    pieces_per_guest: Decimal | None = None,
) -> DraftEstimate:
    """Compute a table with today's Book, and whether it can be ready; a fixed number of queries.

    ``guests`` and ``pieces_per_guest`` are those in the form, saved or not.
    """
    asked = ceil(guests * Fraction(pieces_per_guest)) if guests and pieces_per_guest else None
    try:
        book = book_current()
    except CannotPrice:
        floor = Fraction(kitchen.floor_margin)
        return DraftEstimate(table, kitchen.currency, floor, asked, problems=tuple(book_problems()))
    day = now.astimezone(ZoneInfo(kitchen.time_zone)).date()
    found = estimate_draft_with(book, table, inquiry=inquiry, day=day, asked=asked)
    if found.estimate is None:
        return found
    cold = cold_times({line.product: line.units for line in found.estimate.lines}, book)
    window = window_answer(book, found.estimate, inquiry=inquiry, kitchen=kitchen, now=now, cold=cold)
    cold_notes = (*wait_notes(found.estimate, cold, book), *notes(cold, book, inquiry, kitchen))
    return replace(found, window=window, past=inquiry.window_start <= now, cold=cold_notes)


def estimate_draft_with(
    book: Book, table: DessertTable, *, inquiry: Inquiry, day: date, asked: int | None = None
) -> DraftEstimate:
    """Compute a table with a given Book, without checking its window."""
    unpriced = DraftEstimate(table, book.currency, book.kitchen.floor_margin, asked)
    if not table.lines:
        return unpriced
    try:
        found = estimate(book, brief_of(table, inquiry=inquiry, currency=book.currency, day=day))
    except InputErrors as errors:
        return replace(unpriced, problems=problems_of_errors(errors.errors, table, book))
    lines = estimated_lines(book, found, [line.code for line in table.lines])
    products = list(dict.fromkeys((*(line.product.code for line in lines), *table.unread)))
    needs = needs_served(book, products, table.extras, inquiry)
    return replace(
        unpriced,
        estimate=found,
        book=book,
        lines=lines,
        needs=needs,
        for_every_need=serving_every(book, products, needs),
        unchecked=unchecked_dishes(book, products, table.extras),
        claims=table_claims(book, products, table.extras),
        note_open=note_open(inquiry),
        advice=tuple(one for one in found.warnings if one.code in ("below_target", "more_costs_less")),
        leftovers=tuple(_leftovers(found, book)),
        over_budget_minor=_over_budget(found, inquiry),
        way_unknown=found.delivery is not None and not inquiry.km and not inquiry.minutes,
    )


def estimated_lines(book: Book, found: Estimate, order: Sequence[str]) -> tuple[EstimatedLine, ...]:
    """Return an estimate's lines in the order of the table, each with its product and its rule."""
    place = {code: at for at, code in enumerate(order)}
    lines = sorted(found.lines, key=lambda line: place.get(line.product, len(place)))
    return tuple(_estimated(book, line) for line in lines)


def _estimated(book: Book, line: LineEstimate) -> EstimatedLine:
    rule = book.price_rule(line.rule)
    return EstimatedLine(
        book.product(line.product), line, rule, book.product(rule.product).name if rule.product else ""
    )


def problems_of_errors(errors: Sequence[CostingError], table: DessertTable, book: Book) -> tuple[Problem, ...]:
    """Return the computation's errors, each with the record of the Book or the line of the table it is about."""
    in_book = iter(problems_of((error for error in errors if error.at.startswith("book#")), book))
    return tuple(next(in_book) if error.at.startswith("book#") else _table_problem(error, table) for error in errors)


def _table_problem(error: CostingError, table: DessertTable) -> TableProblem:
    steps = error.at.partition("#")[2].split("/")[1:]
    product = ""
    if steps[:1] == ["lines"] and len(steps) > 1 and steps[1].isdigit() and int(steps[1]) < len(table.lines):
        product = table.lines[int(steps[1])].code
    return TableProblem(error.code, error.message, product)


def _over_budget(found: Estimate, inquiry: Inquiry) -> int:
    total = to_minor(found.totals.total, minor_digits(found.currency))
    return 0 if inquiry.budget_minor is None else max(0, total - inquiry.budget_minor)


def _leftovers(found: Estimate, book: Book) -> Iterator[Leftover]:
    """Find the packs of which only a part is used."""
    codes = {book.ingredients[int(one.at.rsplit("/", 1)[1])].code for one in found.warnings if one.code == "leftover"}
    if not codes:
        return
    for one in found.ingredients:
        if one.ingredient in codes and one.leftover is not None and one.leftover_value is not None:
            used = one.as_purchased / (one.as_purchased + one.leftover)
            yield Leftover(book.ingredient(one.ingredient).name, one.packs or (), used, one.leftover_value)
