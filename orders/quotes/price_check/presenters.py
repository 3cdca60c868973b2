"""The price check of a quote as rows of figures, each opening to how it came about, and as a bar."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.price_rules.presenters import fits_words
from catalog.web import display
from catalog.web.charts.margins import MarginRow, margins
from catalog.web.charts.price_bar import BarPart, PriceBar, price_bar
from catalog.web.derivations import Derivation, derivation
from catalog.web.figure_rows import FigureRow
from costing.contract import Estimate
from costing.contract.estimate import Totals
from orders.quotes.draft.presenters import ProblemShown, price_sentence, problems_shown
from orders.quotes.price_check.selectors import (
    ExplainedIngredient,
    ExplainedLine,
    Explanations,
    OrderPart,
    PriceCheck,
)

_PARTS: Final = {
    "ingredients": marked("Ingredients"),
    "packaging": marked("Packaging"),
    "labour": marked("Labor"),
    "overhead": marked("Overhead"),
    "delivery": marked("Delivery cost"),
    "extras": marked("Cost of rentals and extras"),
    "margin": marked("Margin on the whole order"),
}
_OF_PART: Final = {
    "ingredients": marked("The ingredients of all products added up. Open a product below for its own."),
    "packaging": marked("The packaging of all products added up."),
    "labour": marked("The labor of all products added up. Open a product below for its own."),
    "overhead": marked("The overhead of all products added up. Open a product below for its own."),
    "extras": marked("What the rentals and extras cost you."),
    "margin": marked("Revenue before tax − total cost."),
}


@dataclass(frozen=True, slots=True)
class PriceCheckShown:
    """A price check as its page shows it: bar and gauge, and rows of figures that open."""

    problems: tuple[ProblemShown, ...] = ()
    bar: PriceBar | None = None
    parts: tuple[FigureRow, ...] = ()
    margin_words: str = ""
    floor_words: str = ""
    gauge: SafeString | None = None
    products: tuple[FigureRow, ...] = ()
    order: tuple[FigureRow, ...] = ()
    ingredients: tuple[FigureRow, ...] = ()


def price_check_shown(check: PriceCheck) -> PriceCheckShown:
    """Write and draw the price check of a quote."""
    if check.estimate is None:
        return PriceCheckShown(problems=problems_shown(check.problems))
    bar = price_bar(
        [BarPart(part.kind, gettext(_PARTS[part.kind]), part.amount) for part in check.parts],
        currency=check.estimate.currency,
        title=gettext("What the price is made of"),
    )
    words = margin_words(check.estimate.totals, check.floor)
    return PriceCheckShown(
        problems=problems_shown(check.problems),
        bar=bar,
        parts=tuple(_part_rows(check, check.estimate, bar)),
        margin_words=words[0],
        floor_words=words[1],
        gauge=_gauge(check.estimate.totals.goods_margin, None, check.floor),
        products=tuple(_Product(line, check).row() for line in check.lines),
        order=tuple(_order_rows(check, check.estimate)),
        ingredients=tuple(_ingredient_row(one, check) for one in check.ingredients),
    )


def margin_words(totals: Totals, floor: Fraction) -> tuple[str, str]:
    """Write the margin on products, and how it stands to the kitchen's floor."""
    shown = gettext("none") if totals.goods_margin is None else display.percent(totals.goods_margin)
    stands = gettext("below floor %(floor)s") if totals.below_floor else gettext("floor %(floor)s")
    return shown, stands % {"floor": display.percent(floor, 0)}


def _gauge(margin: Fraction | None, target: Fraction | None, floor: Fraction) -> SafeString | None:
    return None if margin is None else margins([MarginRow("", margin, target, floor)])


def _part_rows(check: PriceCheck, found: Estimate, bar: PriceBar) -> Iterator[FigureRow]:
    """Yield a row for each part of the bar, with its stretch of it."""
    for part, track in zip(check.parts, bar.tracks, strict=True):
        yield FigureRow(
            gettext(_PARTS[part.kind]),
            display.amount(part.amount, found.currency),
            share=_share(part.amount, found.totals.revenue),
            how=_of_part(part, check, found),
            track=track,
        )
    yield FigureRow(
        gettext("Price before tax"), display.amount(found.totals.revenue, found.currency), share="", total=True
    )


def _of_part(part: OrderPart, check: PriceCheck, found: Estimate) -> Derivation | None:
    """Return how a part came about: the delivery by its own computation, the others as sums of what is below."""
    if part.kind == "delivery":
        return derivation(check.delivery.get("cost"), check.names)
    inputs = part.lines
    if part.kind == "margin":
        inputs = ((gettext("Revenue before tax"), found.totals.revenue), (gettext("Total cost"), found.totals.cost))
    return Derivation(
        gettext(_OF_PART[part.kind]), tuple((name, display.fine(amount, found.currency)) for name, amount in inputs)
    )


def _share(part: Fraction, whole: Fraction) -> str:
    return display.percent(part / whole) if whole else ""


@dataclass(frozen=True, slots=True)
class _Figures:
    """Writes rows of money or shares with their explanations."""

    how: Explanations
    names: dict[str, str]
    currency: str

    def money(self, name: str, key: str, value: Fraction, *, share: str = "", total: bool = False) -> FigureRow:
        """Write an amount."""
        shown = display.cents(value, self.currency)
        return FigureRow(name, shown, share=share, how=derivation(self.how.get(key), self.names), total=total)

    def percent(self, name: str, key: str, value: Fraction | None) -> FigureRow:
        """Write a share; one that does not exist is said to be none."""
        if value is None:
            return FigureRow(name, gettext("none"))
        return FigureRow(name, display.percent(value), how=derivation(self.how.get(key), self.names))


class _Product:
    """A product of the order: its amount, opening to all its figures."""

    def __init__(self, explained: ExplainedLine, check: PriceCheck) -> None:
        self.one, self.line, self.check = explained.estimated, explained.estimated.line, check
        self.currency = check.estimate.currency if check.estimate else ""
        rule = {self.one.rule.code: fits_words(self.one.rule, self.one.rule_product)}
        self.write = _Figures(explained.how, {**check.names, **rule}, self.currency)

    def row(self) -> FigureRow:
        """Write the product's row."""
        return FigureRow(
            self.one.product.name,
            display.amount(self.line.net, self.currency),
            share=self._margin(),
            note=self._made(),
            how=Derivation(price_sentence(self.one, self.currency)),
            picture=_gauge(self.line.margin, self.one.rule.margin, self.check.floor),
            rows=tuple(self._rows()),
        )

    def _margin(self) -> str:
        if self.line.margin is None:
            return ""
        row = MarginRow("", self.line.margin, self.one.rule.margin, self.check.floor)
        return gettext("margin %(margin)s, %(verdict)s") % {
            "margin": display.percent(self.line.margin),
            "verdict": row.verdict,
        }

    def _made(self) -> str:
        sold = gettext("%(units)s at %(price)s each") % {
            "units": self.line.units,
            "price": display.amount(self.line.unit_price, self.currency),
        }
        made = ngettext("%(made)s made in %(n)s load", "%(made)s made in %(n)s loads", self.line.loads)
        return f"{sold}; {made % {'made': self.line.made, 'n': self.line.loads}}"

    def _rows(self) -> Iterator[FigureRow]:
        line, money = self.line, self.write.money
        costs = (
            ("ingredients", line.ingredients),
            ("packaging", line.packaging),
            ("labour", line.labor),
            ("overhead", line.overhead),
        )
        for kind, cost in costs:
            yield money(gettext(_PARTS[kind]), kind, cost, share=_share(cost, line.net))
        yield money(gettext("Cost"), "cost", line.cost, share=_share(line.cost, line.net), total=True)
        yield money(gettext("Unit cost"), "unit_cost", line.unit_cost)
        yield money(gettext("Price by the rule"), "target_price", line.target_price)
        yield money(gettext("Price each"), "unit_price", line.unit_price)
        yield money(gettext("Amount"), "amount", line.amount)
        if line.net != line.amount:
            yield money(gettext("Amount before tax"), "net", line.net)
        yield FigureRow(
            gettext("Margin in money"),
            display.amount(self.one.left, self.currency),
            how=Derivation(
                gettext("Amount before tax − cost."),
                (
                    (gettext("Amount before tax"), display.fine(line.net, self.currency)),
                    (gettext("Cost"), display.fine(line.cost, self.currency)),
                ),
            ),
        )
        yield self.write.percent(gettext("Margin"), "margin", line.margin)
        if self.one.markup is not None:
            yield FigureRow(gettext("Markup on cost"), display.percent(self.one.markup))


def _order_rows(check: PriceCheck, found: Estimate) -> Iterator[FigureRow]:
    """Yield the rows of the order, from the products to the total, then what it costs and earns."""
    totals = found.totals
    write = _Figures(check.totals, dict(check.names), found.currency)
    yield write.money(gettext("Products"), "goods", totals.goods)
    if totals.discount:
        yield write.money(gettext("Discount"), "discount", -totals.discount)
    if totals.surcharge:
        yield write.money(gettext("Rush fee"), "surcharge", totals.surcharge)
    if totals.top_up:
        yield write.money(gettext("Minimum-order charge"), "top_up", totals.top_up)
    if found.delivery is not None:
        delivery = _Figures(check.delivery, dict(check.names), found.currency)
        yield delivery.money(gettext("Delivery price"), "price", found.delivery.price)
    if totals.extras:
        yield write.money(gettext("Rentals and extras"), "extras", totals.extras)
    yield write.money(gettext("Revenue before tax"), "revenue", totals.revenue, total=True)
    for one in check.taxes:
        if one.tax.tax:
            about = {"tax": check.tax_name, "name": one.name, "rate": display.rate(one.tax.rate)}
            name = gettext("%(tax)s (%(name)s), %(rate)s") % about
            shown = display.amount(one.tax.tax, found.currency)
            yield FigureRow(name, shown, how=derivation(one.how, check.names))
    yield write.money(gettext("Total with tax"), "total", totals.total, total=True)
    yield write.money(gettext("Total cost"), "cost", totals.cost)
    yield write.percent(gettext("Margin on products"), "goods_margin", totals.goods_margin)
    yield write.percent(gettext("Margin on the whole order"), "order_margin", totals.order_margin)


def _ingredient_row(one: ExplainedIngredient, check: PriceCheck) -> FigureRow:
    currency = check.estimate.currency if check.estimate else ""
    write = _Figures(one.how, dict(check.names), currency)
    needed = display.plain(one.as_purchased) if one.base == "each" else display.mass(one.as_purchased)
    if one.pieces is not None:
        needed = gettext("%(mass)s, about %(count)s pieces") % {"mass": needed, "count": display.plain(one.pieces)}
    row = write.money(one.name, "cost", one.cost)
    rows = [FigureRow(gettext("Quantity to buy"), needed, how=derivation(one.how.get("as_purchased"), check.names))]
    if one.leftover_value is not None:
        rows.append(write.money(gettext("Value left over"), "leftover_value", one.leftover_value))
    packs = ", ".join(display.packs(pack.count, pack.size) for pack in one.packs)
    return FigureRow(
        row.name,
        row.value,
        share=needed,
        note=gettext("charged: %(packs)s") % {"packs": packs} if packs else "",
        how=row.how,
        rows=tuple(rows),
    )
