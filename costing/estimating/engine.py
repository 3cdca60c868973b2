"""The whole computation: a Book and a Brief in, an Estimate out."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import cached_property, partial

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
from costing.estimating.needs import needs_errors
from costing.estimating.warnings import warnings_of
from costing.measures.numbers import figure
from costing.pricing.prices import DeliveryPrice, LinePrice, delivery_price, line_prices, rates_of
from costing.pricing.totals import Charges, charges, goods_net, is_below_floor, taxes
from costing.requirements.compiled import Compiled, compile_book
from costing.requirements.tables import WIDE, wide
from costing.requirements.working_rows import Asked, LineCost, Purchase
from costing.requirements.workings import Wide


@dataclass(frozen=True)
class OrderComputation:
    """One order being computed; each step is done once, when first asked for."""

    compiled: Compiled
    brief: Brief

    @cached_property
    def lines(self) -> tuple[Asked, ...]:
        """The lines by product code, so that their order in the Brief changes nothing."""
        asked = []
        for line in sorted(self.brief.lines, key=lambda line: line.product):
            at = self.compiled.product_at[line.product]
            item = self.compiled.products[at]
            per_unit, over = self.compiled.made_per_unit[at]
            made = -(-line.units * per_unit // over)
            loads = 1 if item.load is None else -(-made // item.load)
            asked.append(Asked(at, line.units, made, loads))
        return tuple(asked)

    @cached_property
    def workings(self) -> Wide:
        """What the order takes and costs."""
        return Wide(self.compiled, self.lines, self.brief.date)

    @cached_property
    def rates(self) -> dict[str, Fraction]:
        """Tax rates in force [share]."""
        return rates_of(self.compiled, self.brief)

    @cached_property
    def prices(self) -> list[LinePrice]:
        """How each line is priced."""
        return line_prices(self.compiled, self.brief, self.workings, self.rates)

    @cached_property
    def delivery(self) -> DeliveryPrice | None:
        """How delivery is priced."""
        return delivery_price(self.compiled, self.brief, self.prices, self.rates)

    @cached_property
    def charged(self) -> Charges:
        """What is charged [minor units]."""
        return charges(self.compiled, self.brief, self.prices, self.delivery)

    @cached_property
    def goods_net(self) -> Fraction:
        """Net revenue of the goods [currency]."""
        return goods_net(self.compiled, self.charged, self.rates)

    def with_units(self, product: str, units: int) -> OrderComputation:
        """Give the same order with other units of one product."""
        given = next(line.unit_price for line in self.brief.lines if line.product == product)
        return OrderComputation(self.compiled, self.brief.with_line(product, units=units, unit_price=given))


def estimate(book: Book, brief: Brief, *, warn: bool = True) -> Estimate:
    """Work out what an order takes, costs and is charged.

    Parameters
    ----------
    book : Book
        A sound Book (read from JSON, or checked with `costing.contract.book_checks.check_book`). Its tables are
        made once and kept as long as it lives.
    brief : Brief
        What is asked for.
    warn : bool, optional
        Whether the Estimate has warnings. They are looked for when they are first looked at: some need larger
        quantities worked out, which a list of prices can do without.

    Returns
    -------
    Estimate
        Charged money, batches, loads and packs as exact rational arithmetic gives them.

    Raises
    ------
    InputErrors
        Everything the Brief needs that is wrong or missing, at once.
    """
    compiled = compile_book(book)
    with localcontext(WIDE):
        errors = needs_errors(compiled, brief)
        if errors:
            raise InputErrors(errors)
        return finish(OrderComputation(compiled, brief), warn=warn)


def finish(order: OrderComputation, *, warn: bool = True) -> Estimate:
    """Turn a computed order into an Estimate.

    Parameters
    ----------
    order : Order
        An order whose Brief was checked.
    warn : bool, optional
        Whether the Estimate has warnings.
    """
    compiled, workings = order.compiled, order.workings
    delivery = order.delivery
    return Estimate(
        currency=compiled.currency,
        lines=tuple(
            _line(compiled, *item) for item in zip(order.lines, workings.line_costs, order.prices, strict=True)
        ),
        delivery=None if delivery is None else DeliveryEstimate(delivery.minutes, delivery.cost, delivery.price),
        totals=_totals(order),
        allergens={compiled.products[line.product].code: compiled.allergens(line.product) for line in order.lines},
        advice=partial(_advice, order) if warn else tuple,
        made_and_bought=partial(_made_and_bought, order),
    )


def _line(compiled: Compiled, line: Asked, cost: LineCost[Decimal], price: LinePrice) -> LineEstimate:
    item, scale = compiled.products[line.product], compiled.scale
    total, net = cost.cost, price.net
    target = Fraction(price.target, scale)
    return LineEstimate(
        product=item.code,
        units=line.units,
        made=line.made,
        servings=line.units * item.servings,
        ingredients=figure(cost.ingredients),
        packaging=figure(cost.packaging),
        labor=figure(cost.labor),
        overhead=figure(cost.overhead),
        cost=figure(total),
        unit_cost=figure(total / line.units),
        labor_minutes=figure(cost.minutes),
        loads=line.loads,
        rule=price.rule.code,
        target_price=target,
        basis=price.basis,
        unit_price=target if price.unit_price == price.target else Fraction(price.unit_price, scale),
        amount=Fraction(price.amount, scale),
        net=net,
        margin=figure(1 - total * net.denominator / net.numerator) if net else None,
    )


def _advice(order: OrderComputation) -> tuple[Advice, ...]:
    with localcontext(WIDE):
        return warnings_of(order)


def _made_and_bought(order: OrderComputation) -> MadeAndBought:
    with localcontext(WIDE):
        return MadeAndBought(_recipes(order), _ingredients(order))


def _recipes(order: OrderComputation) -> tuple[RecipeEstimate, ...]:
    recipes = order.compiled.recipes
    found = [
        RecipeEstimate(recipes[at].code, figure(batch.grams), batch.batches, figure(batch.minutes))
        for at, batch in order.workings.batches.items()
    ]
    return tuple(sorted(found, key=lambda recipe: recipe.recipe))


def _ingredients(order: OrderComputation) -> tuple[IngredientEstimate, ...]:
    found = [_ingredient(order, at, purchase) for at, purchase in order.workings.purchases.items()]
    return tuple(sorted(found, key=lambda ingredient: ingredient.ingredient))


def _ingredient(order: OrderComputation, at: int, purchase: Purchase[Decimal]) -> IngredientEstimate:
    item = order.compiled.ingredients[at]
    packs: tuple[PackCount, ...] | None = None
    leftover: Decimal | None = None
    value: Decimal | None = None
    offer = order.workings.offers[at]
    if purchase.basket is not None and offer is not None:
        bought, counts = purchase.basket.wide_bought, purchase.basket.counts
        taken = sorted((pack.size.text, n) for pack, n in zip(offer.packs, counts, strict=True) if n)
        packs = tuple(PackCount(size, count) for size, count in taken)
        leftover = max(bought - purchase.needed, Decimal(0))
        value = leftover * purchase.cost / bought
    return IngredientEstimate(
        ingredient=item.code,
        base=item.base,
        ready=figure(order.workings.need(at)[0]),
        as_purchased=figure(purchase.needed),
        cost=figure(purchase.cost),
        packs=packs,
        leftover=None if leftover is None else figure(leftover),
        leftover_value=None if value is None else figure(value),
    )


def _totals(order: OrderComputation) -> Totals:
    charged, compiled, net = order.charged, order.compiled, order.goods_net
    per_code = taxes(compiled, charged, order.rates)
    revenue = sum((tax.taxable for tax in per_code), Fraction(0))
    goods_cost = order.workings.cost
    cost = goods_cost
    if order.delivery is not None or order.brief.extras:
        delivery = order.delivery.cost if order.delivery else Fraction(0)
        cost += wide(sum((extra.cost for extra in order.brief.extras), delivery))

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
        cost=figure(cost),
        goods_margin=figure(1 - goods_cost * net.denominator / net.numerator) if net else None,
        order_margin=figure(1 - cost * revenue.denominator / revenue.numerator) if revenue else None,
        below_floor=is_below_floor(compiled, order.workings, net),
    )
