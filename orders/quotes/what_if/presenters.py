"""What was tried beside what is: rows of a comparison, in words and figures."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext

from catalog.web import display
from orders.quotes.draft.estimate import DraftEstimate, EstimatedLine
from orders.quotes.draft.presenters import ProblemShown, problems_shown
from orders.quotes.what_if.selectors import Comparison


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """A figure now and as tried; ``new`` is empty before anything was tried. ``low`` when it is below the floor."""

    name: str
    now: str
    new: str = ""
    low: bool = False


@dataclass(frozen=True, slots=True)
class ComparedGroup:
    """The figures of one product that would change."""

    name: str
    rows: tuple[ComparedRow, ...]


@dataclass(frozen=True, slots=True)
class OutcomeShown:
    """The outcome of what was tried: the figures that count, the order's others, and the products that would change."""

    tried: bool
    figures: tuple[ComparedRow, ...]
    others: tuple[ComparedRow, ...]
    products: tuple[ComparedGroup, ...] = ()
    problems: tuple[ProblemShown, ...] = ()
    floor: str = ""
    below_floor: bool = False
    rounded: str = ""


def outcome_shown(
    compared: Comparison, *, guests: int | None, tried: bool, margin: Decimal | None = None
) -> OutcomeShown:
    """Write the comparison; nothing tried shows the figures as they are, with nothing beside them.

    ``margin`` is the one that was asked for, if any, as a share.
    """
    before, after = compared.before, compared.after
    shown = tried and after.estimate is not None
    return OutcomeShown(
        tried=shown,
        figures=_paired(_figures(before, guests), _figures(after, guests) if shown else [], low=after.below_floor),
        others=_paired(_others(before), _others(after) if shown else []),
        products=tuple(_changed(compared)) if shown else (),
        problems=problems_shown(after.problems) if tried else (),
        floor=display.percent(before.floor, 0),
        below_floor=after.below_floor,
        rounded=_rounded(after, margin) if shown and margin is not None else "",
    )


def _rounded(after: DraftEstimate, margin: Decimal) -> str:
    """Write why the margin is not the one that was asked for; empty where it is."""
    found = after.estimate.totals.goods_margin if after.estimate else None
    asked, got = display.rate(margin, 1), "" if found is None else display.rate(found, 1)
    if after.book is None or not got or got == asked:
        return ""
    facts = {"step": display.amount(after.book.kitchen.price_step, after.currency), "asked": asked, "got": got}
    if after.table.discount:
        return gettext("Prices are rounded up to the next %(step)s, and the discount is taken off: %(got)s.") % facts
    return gettext("Prices are rounded up to the next %(step)s: so %(asked)s becomes %(got)s.") % facts


Figures = list[tuple[str, str]]


def _paired(now: Figures, new: Figures, *, low: bool = False) -> tuple[ComparedRow, ...]:
    tried = [value for _, value in new] or [""] * len(now)
    last = len(now) - 1
    return tuple(
        ComparedRow(name, value, other, low=low and at == last)
        for at, ((name, value), other) in enumerate(zip(now, tried, strict=True))
    )


def _figures(found: DraftEstimate, guests: int | None) -> Figures:
    """Write total, price per guest where their number is known, and last the margin on products."""
    totals = found.estimate.totals if found.estimate else None
    rows = [(gettext("Total with tax"), display.amount(totals.total, found.currency) if totals else "–")]
    if guests:
        rows.append((gettext("Per guest"), display.amount(totals.total / guests, found.currency) if totals else "–"))
    margin = totals.goods_margin if totals else None
    return [*rows, (gettext("Margin on products"), gettext("none") if margin is None else display.percent(margin))]


def _others(found: DraftEstimate) -> Figures:
    totals, currency = found.estimate.totals if found.estimate else None, found.currency
    if totals is None:
        return []
    return [
        (gettext("Products"), display.amount(totals.goods, currency)),
        (gettext("Discount"), display.amount(-totals.discount, currency)),
        (gettext("Revenue before tax"), display.amount(totals.revenue, currency)),
        (gettext("Total cost"), display.amount(totals.cost, currency)),
        (gettext("Margin in money"), display.amount(totals.revenue - totals.cost, currency)),
        (gettext("Markup on product cost"), gettext("none") if found.markup is None else display.percent(found.markup)),
    ]


def _changed(compared: Comparison) -> Iterator[ComparedGroup]:
    """Yield each product of which a figure would change."""
    for was, line in compared.rows:
        now = _of_line(was, compared.before.currency) if was else [(name, "–") for name, _ in _of_line(line, "")]
        rows = _paired(now, _of_line(line, compared.after.currency))
        changed = tuple(row for row in rows if row.now != row.new)
        if changed:
            yield ComparedGroup(line.product.name, changed)


def _of_line(line: EstimatedLine, currency: str) -> Figures:
    one = line.line
    return [
        (gettext("Quantity"), display.plain(one.units)),
        (gettext("Price each"), display.amount(one.unit_price, currency)),
        (gettext("Margin"), gettext("none") if one.margin is None else display.percent(one.margin)),
    ]
