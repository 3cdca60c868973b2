"""Warnings for the owner before a quote is sent."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from costing.contract.errors import Params, Path, pointer
from costing.contract.estimate import Advice
from costing.estimating.computation import Computation
from costing.estimating.tiers import larger_for_less
from costing.pricing.prices import misses
from costing.pricing.totals import is_below_floor

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
