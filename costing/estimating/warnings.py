"""What the owner should look at before sending a quote."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

from costing.contract.errors import Param, Path, pointer
from costing.contract.estimate import Advice
from costing.contract.sentences import ESTIMATE, sentence
from costing.estimating.computation import Computation
from costing.estimating.tiers import larger_for_less
from costing.pricing.prices import misses
from costing.pricing.totals import is_below_floor

WORTH_A_LOOK = Decimal("0.25")
Code = Literal["below_floor", "below_target", "leftover", "more_costs_less"]


def warnings_of(computation: Computation) -> tuple[Advice, ...]:
    """Find what the owner should look at.

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


def _advice(code: Code, at: str, /, **params: Param) -> Advice:
    return Advice(code, at, sentence(ESTIMATE, code, params), params)


def _floor(computation: Computation) -> Iterator[Advice]:
    if is_below_floor(computation.compiled, computation.workings, computation.goods_net):
        yield _advice("below_floor", "brief#", margin=computation.compiled.kitchen.floor_margin)


def _lines(computation: Computation) -> Iterator[Advice]:
    place = {line.product: at for at, line in enumerate(computation.brief.lines)}
    for at, price in enumerate(computation.prices):
        line = computation.lines[at]
        item = computation.compiled.products[line.product]
        path: Path = ("lines", place[item.code])
        if misses(price, computation.workings.line_costs[at].cost):
            yield _advice(
                "below_target",
                pointer("brief", path),
                product=item.name,
                basis=price.basis,
                margin=price.rule.margin,
                rule=price.rule.code,
            )
        more = larger_for_less(computation, at)
        if more is not None:
            units = (*path, "units")
            yield _advice("more_costs_less", pointer("brief", units), product=item.name, more=more, units=line.units)


def _leftovers(computation: Computation) -> Iterator[Advice]:
    for at, purchase in sorted(computation.workings.varying.items()):
        if purchase.basket is None:
            continue
        bought = purchase.basket.wide_bought
        if purchase.cost and bought - purchase.needed > WORTH_A_LOOK * bought:
            item = computation.compiled.ingredients[at]
            yield _advice("leftover", pointer("book", ("ingredients", at)), ingredient=item.name)
