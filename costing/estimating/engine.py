"""The whole computation: a Book and a Brief in, an Estimate out."""

from __future__ import annotations

from decimal import Decimal, localcontext
from fractions import Fraction
from functools import partial

from costing.contract.book import ZERO, Book
from costing.contract.brief import Brief
from costing.contract.errors import InputErrors
from costing.contract.estimate import (
    Advice,
    DeliveryEstimate,
    Estimate,
    IngredientEstimate,
    LineEstimate,
    MadeAndBought,
    PackCount,
    RecipeEstimate,
    Totals,
)
from costing.estimating.computation import Computation
from costing.estimating.needs import needs_errors
from costing.estimating.warnings import warnings_of
from costing.measures.numbers import WIDE, Figure, wide
from costing.pricing.prices import LinePrice
from costing.pricing.totals import is_below_floor, taxes
from costing.requirements.compiled_book import CompiledBook, LineCost, LineDemand, Purchase, compile_book

NOTHING = Decimal(0)


def estimate(book: Book, brief: Brief, *, warn: bool = True) -> Estimate:
    """Compute what an order needs, what it costs and what is charged for it.

    Parameters
    ----------
    book : Book
        A sound Book (from `costing.contract.read_book`, or checked with `costing.contract.check_book`). Its tables are
        compiled once and cached as long as it lives.
    brief : Brief
        What is asked for.
    warn : bool, optional
        Whether the Estimate has warnings. They are computed when first read, because some need larger quantities
        computed as well, which a price list does not need.

    Returns
    -------
    Estimate
        Charged money, batches, loads and packs as exact rational arithmetic gives them.

    Raises
    ------
    InputErrors
        Lists everything the Brief needs that is wrong or missing.
    """
    with localcontext(WIDE):
        return finish(_checked(book, brief), warn=warn)


def order_totals(book: Book, brief: Brief) -> Totals:
    """Compute an order's totals and margins alone: the same figures as `estimate` gives, in a fraction of the time.

    Parameters
    ----------
    book : Book
        A sound Book, as `estimate` takes it.
    brief : Brief
        What is asked for.

    Returns
    -------
    Totals
        Charges, taxes, costs and margins [currency].

    Raises
    ------
    InputErrors
        Lists everything the Brief needs that is wrong or missing.
    """
    with localcontext(WIDE):
        return _totals(_checked(book, brief))


def _checked(book: Book, brief: Brief) -> Computation:
    """Return the computation of a Brief for which the Book has everything."""
    compiled = compile_book(book)
    errors = needs_errors(compiled, brief)
    if errors:
        raise InputErrors(errors)
    return Computation(compiled, brief)


def finish(computation: Computation, *, warn: bool = True) -> Estimate:
    """Turn a computed Brief into an Estimate.

    Parameters
    ----------
    computation : Computation
        Of a Brief that was checked.
    warn : bool, optional
        Whether the Estimate has warnings.
    """
    compiled, delivery = computation.compiled, computation.delivery
    lines = zip(computation.lines, computation.workings.line_costs, computation.prices, strict=True)
    return Estimate(
        currency=compiled.currency,
        lines=tuple(_line(compiled, *item) for item in lines),
        delivery=None if delivery is None else DeliveryEstimate(delivery.minutes, delivery.cost, delivery.price),
        totals=_totals(computation),
        allergens={
            compiled.products[line.product].code: compiled.allergens(line.product) for line in computation.lines
        },
        advice=partial(_advice, computation) if warn else tuple,
        made_and_bought=partial(_made_and_bought, computation),
    )


def _line(compiled: CompiledBook, line: LineDemand, cost: LineCost[Decimal], price: LinePrice) -> LineEstimate:
    item, scale = compiled.products[line.product], compiled.scale
    total, net = cost.cost, price.net
    target = Fraction(price.target, scale)
    return LineEstimate(
        product=item.code,
        units=line.units,
        made=line.made,
        servings=line.units * item.servings,
        ingredients=Figure(cost.ingredients),
        packaging=Figure(cost.packaging),
        labor=Figure(cost.labor),
        overhead=Figure(cost.overhead),
        cost=Figure(total),
        unit_cost=Figure(total / line.units),
        labor_minutes=Figure(cost.minutes),
        loads=line.loads,
        rule=price.rule.code,
        target_price=target,
        basis=price.basis,
        unit_price=target if price.unit_price == price.target else Fraction(price.unit_price, scale),
        amount=Fraction(price.amount, scale),
        net=net,
        margin=Figure(1 - total * net.denominator / net.numerator) if net else None,
    )


def _advice(computation: Computation) -> tuple[Advice, ...]:
    with localcontext(WIDE):
        return warnings_of(computation)


def _made_and_bought(computation: Computation) -> MadeAndBought:
    with localcontext(WIDE):
        return MadeAndBought(_recipes(computation), _ingredients(computation))


def _recipes(computation: Computation) -> tuple[RecipeEstimate, ...]:
    recipes = computation.compiled.recipes
    found = [
        RecipeEstimate(recipes[at].code, Figure(batch.grams), batch.batches, Figure(batch.minutes))
        for at, batch in computation.workings.batches.items()
    ]
    return tuple(sorted(found, key=lambda recipe: recipe.recipe))


def _ingredients(computation: Computation) -> tuple[IngredientEstimate, ...]:
    found = [_ingredient(computation, at, purchase) for at, purchase in computation.workings.purchases.items()]
    return tuple(sorted(found, key=lambda ingredient: ingredient.ingredient))


def _ingredient(computation: Computation, at: int, purchase: Purchase[Decimal]) -> IngredientEstimate:
    item, workings = computation.compiled.ingredients[at], computation.workings
    ready, needed, cost = Figure(workings.ready(at)), Figure(purchase.needed), Figure(purchase.cost)
    basket, offer = purchase.basket, workings.offers[at]
    if basket is None or offer is None:
        return IngredientEstimate(item.code, item.base, ready, needed, cost)
    bought = basket.wide_bought
    taken = sorted([(pack.size.text, n) for pack, n in zip(offer.packs, basket.counts, strict=True) if n])
    leftover = max(bought - purchase.needed, NOTHING)
    return IngredientEstimate(
        ingredient=item.code,
        base=item.base,
        ready=ready,
        as_purchased=needed,
        cost=cost,
        packs=tuple([PackCount(size, count) for size, count in taken]),
        leftover=Figure(leftover),
        leftover_value=Figure(leftover * purchase.cost / bought),
    )


def _totals(computation: Computation) -> Totals:
    charged, compiled, net = computation.charged, computation.compiled, computation.goods_net
    per_code = taxes(compiled, charged, computation.rates)
    revenue = sum((tax.taxable for tax in per_code), Fraction(0))
    goods_cost = computation.workings.cost
    cost = goods_cost
    if computation.delivery is not None or computation.brief.extras:
        delivery = computation.delivery.cost if computation.delivery else Fraction(0)
        cost += wide(sum((extra.cost for extra in computation.brief.extras), delivery))

    def money(minor: int) -> Fraction:
        return Fraction(minor, compiled.scale) if minor else ZERO

    return Totals(
        goods=money(sum(charged.goods.values())),
        surcharge=money(charged.surcharge),
        discount=money(charged.discount),
        top_up=money(charged.top_up),
        delivery=money(sum(charged.delivery.values())),
        extras=money(sum(charged.extras.values())),
        taxes=per_code,
        revenue=revenue,
        total=revenue + sum((tax.tax for tax in per_code), Fraction(0)),
        cost=Figure(cost),
        goods_margin=Figure(1 - goods_cost * net.denominator / net.numerator) if net else None,
        order_margin=Figure(1 - cost * revenue.denominator / revenue.numerator) if revenue else None,
        below_floor=is_below_floor(compiled, computation.workings, net),
    )
