"""Warnings for the owner before a quote is sent, and larger quantities that would be charged less."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, Decimal
from math import ceil

from costing.contract.book import PriceRule
from costing.contract.errors import Params, Path, pointer
from costing.contract.estimate import Advice
from costing.contract.price_rules import rule_terms
from costing.estimating.computation import Computation
from costing.pricing.prices import least_steps, misses, target_price
from costing.pricing.totals import is_below_floor

NEXT_MULTIPLES = 10
SAFE = Decimal("0." + 30 * "9")
NEARLY = 1 - 1e-9
LARGEST = 1e200


def larger_for_less(computation: Computation, at: int) -> int | None:
    """Find the smallest of some larger quantities for which the whole line is charged less.

    A list price or a price given by hand does not change with the quantity, so more units never cost less. The
    quantities tried are the next `NEXT_MULTIPLES` sale multiples (the unit price of a larger quantity may fall by a
    price step), and for every better rule the smallest quantity at which it applies. A lower bound of the charge
    (`LeastAmount`) rules most of them out; the others are computed in full, so the result is exact.

    Parameters
    ----------
    computation : Computation
        A computation whose Brief was checked.
    at : int
        Place of the line.

    Returns
    -------
    int or None
        Units; None when no quantity looked at is charged less.
    """
    price, line = computation.prices[at], computation.lines[at]
    if price.basis != "rule" or not price.amount:
        return None
    item = computation.compiled.products[line.product]
    takeovers = _takeovers(computation, at, price.rule)
    bounds: dict[str, LeastAmount] = {}
    for units in sorted({*_next(line.units, item.sale_multiple), *(units for units, _ in takeovers)}):
        rule = next((rule for start, rule in takeovers if start <= units), price.rule)
        if rule.code not in bounds:
            bounds[rule.code] = LeastAmount(computation, at, rule)
        if bounds[rule.code].is_below(price.amount, units):
            larger = computation.with_units(item.code, units)
            unit_price = target_price(computation.compiled, larger.workings, at, rule, computation.rates[item.tax])
            if unit_price * units < price.amount:
                return units
    return None


def _next(units: int, multiple: int) -> Iterator[int]:
    return (units + multiple * times for times in range(1, NEXT_MULTIPLES + 1))


def _takeovers(computation: Computation, at: int, present: PriceRule) -> list[tuple[int, PriceRule]]:
    """Return the rules that would win with more units, best first, each with the units of the line it needs."""
    fitting = computation.compiled.rules_for(computation.lines[at].product, rule_terms(computation.brief))
    found = []
    for rule in fitting[: fitting.index(present)]:
        covers = computation.compiled.covers
        others = sum(line.units for i, line in enumerate(computation.lines) if i != at and covers(rule, line.product))
        multiple = computation.compiled.products[computation.lines[at].product].sale_multiple
        found.append((-(-(rule.from_units - others) // multiple) * multiple, rule))
    return found


class LeastAmount:
    """The least a larger quantity of a line can be charged under a rule [minor units].

    With more of one line, no recipe, batch, load or pack gets fewer, and the line's share of each grows while those of
    the others do not. So its cost without the overhead per order cannot fall, and grows at least by what
    `more_per_unit` says; the overhead per order is all its own while it is the only line, and at least zero beside
    others.

    The bound is computed in floating point first, made smaller by far more than that can be off; where it decides, no
    decimals are needed.

    Parameters
    ----------
    computation : Computation
        A computation whose Brief was checked.
    at : int
        Place of the line.
    rule : PriceRule
        The rule that applies to the larger quantity.
    """

    def __init__(self, computation: Computation, at: int, rule: PriceRule) -> None:
        compiled, line, cost = computation.compiled, computation.lines[at], computation.workings.line_costs[at]
        self.units, self.step = line.units, compiled.step
        self.own = cost.cost if len(computation.lines) == 1 else cost.cost - cost.per_order
        self.more = computation.workings.more_per_unit(line.product)
        rate = computation.rates[compiled.products[line.product].tax]
        self.per_cost = compiled.steps_per_cost(rule.margin, rate)[1]
        self.least = least_steps(compiled, rule)
        self._own, self._more = (min(float(value * self.per_cost), LARGEST) * NEARLY for value in (self.own, self.more))

    def is_below(self, amount: int, units: int) -> bool:
        """Return whether the least that a larger quantity can be charged is below an amount.

        Parameters
        ----------
        amount : int
            Any amount [minor units].
        units : int
            Units of the line, more than the Brief asks for [each].
        """
        steps = ceil((self._own + (units - self.units) * self._more) / units)
        if max(steps, self.least) * self.step * units >= amount:
            return False
        least = (self.own + (units - self.units) * self.more) * SAFE
        steps = int((least * self.per_cost / units).to_integral_value(ROUND_CEILING))
        return max(steps, self.least) * self.step * units < amount


WORTH_A_LOOK = Decimal("0.25")


def warnings_of(computation: Computation) -> tuple[Advice, ...]:
    """Find the warnings of a computed Brief.

    Parameters
    ----------
    computation : Computation
        A computed Brief.

    Returns
    -------
    tuple of Advice
        In a fixed order: floor, lines by product code, ingredients by place in the Book.
    """
    return (*_floor(computation), *_lines(computation), *_leftovers(computation))


def _floor(computation: Computation) -> Iterator[Advice]:
    if is_below_floor(computation.compiled, computation.workings, computation.goods_net):
        yield Advice("below_floor", "brief#", {"margin": computation.compiled.kitchen.floor_margin})


def _lines(computation: Computation) -> Iterator[Advice]:
    place = {line.product: at for at, line in enumerate(computation.brief.lines)}
    for at, price in enumerate(computation.prices):
        line = computation.lines[at]
        item = computation.compiled.products[line.product]
        path: Path = ("lines", place[item.code])
        if misses(price, computation.workings.line_costs[at].cost):
            asked: Params = {"margin": price.rule.margin, "rule": price.rule.code}
            yield Advice("below_target", pointer("brief", path), {"product": item.name, "basis": price.basis, **asked})
        more = larger_for_less(computation, at)
        if more is not None:
            params: Params = {"product": item.name, "more": more, "units": line.units}
            yield Advice("more_costs_less", pointer("brief", (*path, "units")), params)


def _leftovers(computation: Computation) -> Iterator[Advice]:
    for at, purchase in sorted(computation.workings.varying.items()):
        if purchase.basket is None:
            continue
        bought = purchase.basket.wide_bought
        if purchase.cost and bought - purchase.needed > WORTH_A_LOOK * bought:
            item = computation.compiled.ingredients[at]
            yield Advice("leftover", pointer("book", ("ingredients", at)), {"ingredient": item.name})
