"""The formula and inputs of every figure, in words. Explanations are made only when a caller asks for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal, localcontext
from fractions import Fraction

from costing.contract.book import Book
from costing.contract.brief import Brief
from costing.contract.estimate import Estimate, IngredientEstimate, LineEstimate
from costing.contract.explanations import Explanation, explanation
from costing.contract.marks import marked as _
from costing.estimating.computation import Computation
from costing.measures.numbers import WIDE
from costing.requirements.compiled_book import compile_book

Explained = tuple[str, Explanation]
"""A figure's key or place, and how it came about."""


def explain(book: Book, brief: Brief, estimate: Estimate) -> dict[str, Explanation]:
    """Explain every figure of an Estimate: its formula and its inputs.

    Parameters
    ----------
    book : Book
        The Book it was made with.
    brief : Brief
        The Brief it was made for.
    estimate : Estimate
        What `costing.estimate` gave for them.

    Returns
    -------
    dict of str to Explanation
        By JSON pointer into the Estimate's document, such as `/lines/0/unit_cost`.
    """
    with localcontext(WIDE):
        return dict(_all(Computation(compile_book(book), brief), estimate))


def explained(computation: Computation, estimate: Estimate) -> Estimate:
    """Return an Estimate with its explanations added.

    Parameters
    ----------
    computation : Computation
        What it was made from.
    estimate : Estimate
        The Estimate.
    """
    return replace(estimate, explanations=dict(_all(computation, estimate)))


def _all(computation: Computation, estimate: Estimate) -> Iterator[Explained]:
    for at, line in enumerate(estimate.lines):
        yield from ((f"/lines/{at}/{key}", how) for key, how in _line(computation, at, line))
    yield from _recipes(computation, estimate)
    for at, ingredient in enumerate(estimate.ingredients):
        for key, how in _ingredient(computation, ingredient):
            yield f"/ingredients/{at}/{key}", how
    yield from _delivery(computation, estimate)
    yield from ((f"/totals/{key}", how) for key, how in _totals(computation, estimate))


def _line(computation: Computation, at: int, line: LineEstimate) -> Iterator[Explained]:
    money = computation.compiled.currency
    item = computation.compiled.products[computation.lines[at].product]
    units, made = (_("units"), line.units, ""), (_("made"), line.made, "")
    yield "made", explanation(_("units × (1 + spare), rounded up"), units, (_("spare"), item.spare, ""))
    yield "servings", explanation(_("units × servings each"), units, (_("servings each"), item.servings, ""))
    yield "loads", explanation(_("made ÷ load, rounded up; 1 without a load"), made, (_("load"), item.load, ""))
    yield "ingredients", _food(computation, at)
    yield "packaging", _packaging(computation, at)
    yield "labour", _labor(computation, at, pay=True)
    yield "labour_minutes", _labor(computation, at, pay=False)
    yield "overhead", _overhead(computation, at, line)
    yield (
        "cost",
        explanation(
            _("ingredients + packaging + labor + overhead"),
            (_("ingredients"), line.ingredients, money),
            (_("packaging"), line.packaging, money),
            (_("labor"), line.labor, money),
            (_("overhead"), line.overhead, money),
        ),
    )
    yield "unit_cost", explanation(_("cost ÷ units"), (_("cost"), line.cost, money), units)
    yield from _line_price(computation, at, line)


def _line_price(computation: Computation, at: int, line: LineEstimate) -> Iterator[Explained]:
    money, kitchen = computation.compiled.currency, computation.compiled.kitchen
    price = computation.prices[at]
    factor = line.amount / line.net if line.net else Fraction(1)
    yield (
        "target_price",
        explanation(
            _("the larger of unit cost ÷ (1 − margin) × tax factor and the minimum, rounded up to the price step"),
            (_("rule"), price.rule.code, ""),
            (_("unit cost"), line.unit_cost, money),
            (_("margin"), price.rule.margin, ""),
            (_("tax factor"), factor, ""),
            (_("minimum"), price.rule.minimum, money),
            (_("price step"), kitchen.price_step, money),
        ),
    )
    words = {
        "given": _("the price given by hand"),
        "list": _("the product's list price"),
        "rule": _("the target price"),
    }
    yield "unit_price", explanation(words[line.basis], (words[line.basis], line.unit_price, money))
    yield (
        "amount",
        explanation(_("unit price × units"), (_("unit price"), line.unit_price, money), (_("units"), line.units, "")),
    )
    yield "net", explanation(_("amount ÷ tax factor"), (_("amount"), line.amount, money), (_("tax factor"), factor, ""))
    yield (
        "margin",
        explanation(
            _("(net − cost) ÷ net; none without revenue"), (_("net"), line.net, money), (_("cost"), line.cost, money)
        ),
    )


def _food(computation: Computation, at: int) -> Explanation:
    workings, compiled = computation.workings, computation.compiled
    shares: dict[str, Decimal] = {}
    for slot, grams in workings.of_line(at)[1].items():
        purchase = workings.purchases[compiled.wide.slots[slot].ingredient]
        name = compiled.ingredients[purchase.ingredient].name
        shares[name] = shares.get(name, Decimal(0)) + grams * purchase.rate
    return explanation(
        _("the line's share of each ingredient's cost, by as-purchased mass"),
        *((name, share, compiled.currency) for name, share in sorted(shares.items())),
    )


def _packaging(computation: Computation, at: int) -> Explanation:
    workings, compiled = computation.workings, computation.compiled
    line = computation.lines[at]
    shares = [
        (compiled.ingredients[ingredient].name, amount * line.units * workings.rate_of(ingredient))
        for ingredient, amount in compiled.wide.products[line.product].packaging
    ]
    return explanation(
        _("the line's share of the cost of what it is packed in"),
        *((name, share, compiled.currency) for name, share in sorted(shares)),
    )


def _labor(computation: Computation, at: int, *, pay: bool) -> Explanation:
    compiled, line = computation.compiled, computation.lines[at]
    row = compiled.wide.products[line.product]
    unit = compiled.currency if pay else "min"
    per_load, per_unit = (row.pay_load, row.pay_unit) if pay else (row.minutes_load, row.minutes_unit)
    shares = []
    for recipe, grams in computation.workings.of_line(at)[0].items():
        batch = computation.workings.batches[recipe]
        share = grams / batch.asked * (batch.pay if pay else batch.minutes)
        shares.append((f"share of {compiled.recipes[recipe].name}", share, unit))
    return explanation(
        _("loads × per load + made × per unit + the line's share of each recipe's work, by grams"),
        (_("loads"), line.loads, ""),
        (_("per load"), per_load, unit),
        (_("made"), line.made, ""),
        (_("per unit"), per_unit, unit),
        *sorted(shares),
    )


def _overhead(computation: Computation, at: int, line: LineEstimate) -> Explanation:
    compiled, money = computation.compiled, computation.compiled.currency
    tables = compiled.wide
    stations = tables.products[computation.lines[at].product].station_load
    rest = computation.workings.line_costs[at].overhead
    hours = computation.workings.line_costs[at].minutes * tables.labor_minute
    return explanation(
        _(
            "labor hours × overhead per labor hour + loads × station cost per load + the line's share of the"
            " overhead per order (by ingredients + packaging + labor)"
        ),
        (_("labor"), line.labor_minutes, "min"),
        (_("overhead per labor hour"), tables.labor_minute * 60, money),
        (_("loads"), line.loads, ""),
        (_("station cost per load"), stations, money),
        (_("overhead per order"), tables.order_overhead, money),
        (_("share of the overhead per order"), rest - hours - stations * line.loads, money),
    )


def _recipes(computation: Computation, estimate: Estimate) -> Iterator[Explained]:
    compiled = computation.compiled
    for at, recipe in enumerate(estimate.recipes):
        place = compiled.recipe_at[recipe.recipe]
        row, batch = compiled.wide.recipes[place], computation.workings.batches[place]
        yield (
            f"/recipes/{at}/grams",
            explanation(
                _("what the whole order needs, at least the smallest batch"), (_("smallest batch"), row.least, "g")
            ),
        )
        yield (
            f"/recipes/{at}/batches",
            explanation(
                _("grams ÷ batch limit, rounded up; 1 without a limit"),
                (_("grams"), recipe.grams, "g"),
                (_("batch limit"), row.limit, "g"),
            ),
        )
        yield (
            f"/recipes/{at}/labour_minutes",
            explanation(
                _("batches × minutes per batch + kilograms × minutes per kilogram"),
                (_("batches"), batch.batches, ""),
                (_("minutes per batch"), row.minutes_batch, "min"),
                (_("kilograms"), batch.grams / 1000, "kg"),
                (_("minutes per kilogram"), row.minutes_gram * 1000, "min"),
            ),
        )


def _ingredient(computation: Computation, found: IngredientEstimate) -> Iterator[Explained]:
    compiled, money = computation.compiled, computation.compiled.currency
    item = compiled.ingredients[compiled.ingredient_at[found.ingredient]]
    unit = "g" if found.base == "g" else ""
    parts = ((f"share of {part.code}", part.share, "") for part in item.parts)
    yield (
        "ready",
        explanation(_("Σ over all recipes and packaging of what is ready to use"), (_("ready"), found.ready, unit)),
    )
    yield (
        "as_purchased",
        explanation(
            _("ready to use ÷ yield, a part ÷ its share; joint parts count once, at the largest; waste added by mass"),
            (_("ready to use"), found.ready, unit),
            (_("yield"), item.yield_, ""),
            *parts,
            (_("waste"), compiled.kitchen.waste if found.base == "g" else None, ""),
        ),
    )
    offer = computation.workings.offers[compiled.ingredient_at[found.ingredient]]
    if found.packs is None:
        price = offer.price if offer else None
        yield (
            "cost",
            explanation(
                _("as purchased × the lowest price of the preferred packs, else of all"),
                (_("as purchased"), found.as_purchased, unit),
                (_("price per g") if unit else _("price each"), price, money),
            ),
        )
        return
    prices = {pack.size.text: pack.price for pack in offer.packs} if offer else {}
    packs = [(f"{pack.count} × {pack.size}", prices.get(pack.size, Fraction(0)), money) for pack in found.packs]
    yield "cost", explanation(_("the cheapest whole packs that cover what is purchased"), *packs)
    yield "leftover", explanation(_("bought − as purchased"), (_("as purchased"), found.as_purchased, unit), *packs)
    yield (
        "leftover_value",
        explanation(
            _("leftover × cost ÷ bought"), (_("leftover"), found.leftover, unit), (_("cost"), found.cost, money)
        ),
    )


def _delivery(computation: Computation, estimate: Estimate) -> Iterator[Explained]:
    money, book, terms = computation.compiled.currency, computation.compiled.delivery, computation.brief.delivery
    if estimate.delivery is None or book is None or terms is None:
        return
    yield (
        "/delivery/labour_minutes",
        explanation(
            _("crew × (2 × minutes one way + setup)"),
            (_("crew"), terms.crew, ""),
            (_("minutes one way"), terms.minutes, "min"),
            (_("setup"), terms.setup_minutes, "min"),
        ),
    )
    yield (
        "/delivery/cost",
        explanation(
            _("minutes × pay per minute + 2 × km × rate per km"),
            (_("minutes"), estimate.delivery.labor_minutes, "min"),
            (_("pay per minute"), computation.compiled.delivery_pay, money),
            (_("km one way"), terms.km, "km"),
            (_("rate per km"), book.per_km, money),
        ),
    )
    yield (
        "/delivery/price",
        explanation(
            _("cost ÷ (1 − margin) × tax factor, rounded up to the price step"),
            (_("cost"), estimate.delivery.cost, money),
            (_("margin"), book.margin, ""),
            (_("taxed as"), book.tax, ""),
            (_("price step"), computation.compiled.kitchen.price_step, money),
        ),
    )


def _totals(computation: Computation, estimate: Estimate) -> Iterator[Explained]:
    money, kitchen, totals = computation.compiled.currency, computation.compiled.kitchen, estimate.totals
    brief = computation.brief
    yield (
        "goods",
        explanation(_("Σ of the lines' amounts"), *((line.product, line.amount, money) for line in estimate.lines)),
    )
    yield (
        "surcharge",
        explanation(
            _("rush rate × goods when in a rush, rounded"),
            (_("rush rate"), kitchen.rush_rate if brief.rush else 0, ""),
            (_("goods"), totals.goods, money),
        ),
    )
    yield (
        "discount",
        explanation(
            _("discount × goods, rounded"), (_("discount"), brief.discount, ""), (_("goods"), totals.goods, money)
        ),
    )
    yield (
        "top_up",
        explanation(
            _("order minimum − (goods − discount), when above zero"),
            (_("order minimum"), kitchen.order_minimum, money),
            (_("goods"), totals.goods, money),
            (_("discount"), totals.discount, money),
        ),
    )
    yield "delivery", explanation(_("the price of delivery"), (_("delivery"), totals.delivery, money))
    yield (
        "extras",
        explanation(_("Σ of the extras' amounts"), *((extra.code, extra.amount, money) for extra in brief.extras)),
    )
    yield from _taxes(computation, estimate)
    yield (
        "revenue",
        explanation(_("Σ of the taxable amounts"), *((tax.code, tax.taxable, money) for tax in totals.taxes)),
    )
    yield (
        "total",
        explanation(
            _("revenue + Σ of the taxes"),
            (_("revenue"), totals.revenue, money),
            *((tax.code, tax.tax, money) for tax in totals.taxes),
        ),
    )
    yield (
        "cost",
        explanation(
            _("Σ of the lines' costs + delivery + extras"),
            *((line.product, line.cost, money) for line in estimate.lines),
            (_("delivery"), estimate.delivery.cost if estimate.delivery else None, money),
            *((extra.code, extra.cost, money) for extra in brief.extras),
        ),
    )
    yield (
        "goods_margin",
        explanation(
            _("(goods net of tax, after discount, surcharge and minimum − Σ of the lines' costs) ÷ goods net"),
            (_("goods net"), computation.goods_net, money),
            (_("lines' costs"), computation.workings.cost, money),
        ),
    )
    yield (
        "order_margin",
        explanation(
            _("(revenue − all costs) ÷ revenue"),
            (_("revenue"), totals.revenue, money),
            (_("all costs"), totals.cost, money),
        ),
    )


def _taxes(computation: Computation, estimate: Estimate) -> Iterator[Explained]:
    money, charged = computation.compiled.currency, computation.charged
    scale: int = 10**computation.compiled.digits
    gross = computation.compiled.kitchen.prices == "gross"
    for at, tax in enumerate(estimate.totals.taxes):
        parts = (
            (_("goods"), Fraction(charged.goods.get(tax.code, 0), scale), money),
            (_("surcharge − discount + top-up"), Fraction(charged.adjustment.get(tax.code, 0), scale), money),
            (_("delivery"), Fraction(charged.delivery.get(tax.code, 0), scale), money),
            (_("extras"), Fraction(charged.extras.get(tax.code, 0), scale), money),
            (_("rate"), tax.rate, ""),
        )
        formula = _("Σ charged × rate ÷ (1 + rate), rounded once") if gross else _("Σ charged × rate, rounded once")
        yield f"taxes/{at}/tax", explanation(formula, *parts)
        yield (
            f"taxes/{at}/taxable",
            explanation(_("Σ charged − tax") if gross else _("Σ charged under this code"), *parts),
        )
