"""What must hold for every order: it adds up, its order does not matter, more is never cheaper to make."""

from __future__ import annotations

import pickle
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from costing import Book, Brief, BriefLine, Estimate, estimate, read_book, read_brief
from costing.contract import LineEstimate, write_brief
from costing.estimating.computation import Computation
from costing.measures.measure import CupKind
from costing.money.rounding import half_up, minor_digits
from costing.requirements.compiled_book import compile_book
from tests.contract.kitchens import any_book, any_brief

SEEDS = st.integers(0, 10**9)
DUST = Fraction(1, 10**25)


def drawn(seed: int) -> tuple[Book, Brief, Estimate]:
    document = any_book(seed)
    book, brief = read_book(document), read_brief(any_brief(seed, document))
    return book, brief, estimate(book, brief)


@given(SEEDS)
def test_every_order_adds_up(seed: int) -> None:
    """EN 16931 BR-CO-10, 13, 14, 15 and 17, and every cost attributed once."""
    book, brief, found = drawn(seed)
    totals = found.totals
    scale = 10 ** minor_digits(book.currency)
    assert totals.goods == sum(line.amount for line in found.lines)
    assert totals.revenue == sum(tax.taxable for tax in totals.taxes)
    assert totals.total == totals.revenue + sum(tax.tax for tax in totals.taxes)
    shown = totals.goods - totals.discount + totals.surcharge + totals.top_up + totals.delivery + totals.extras
    gross = book.kitchen.prices == "gross"
    assert shown == (totals.total if gross else totals.revenue)
    for tax in totals.taxes:
        base = tax.taxable + tax.tax if gross else tax.taxable
        exact = base * tax.rate / (1 + tax.rate) if gross else base * tax.rate
        assert tax.tax == Fraction(half_up(exact * scale), scale)
    for amount in (totals.goods, totals.discount, totals.surcharge, totals.top_up, totals.total, totals.delivery):
        assert (amount * scale).denominator == 1
    lines = sum(line.cost for line in found.lines)
    other = sum(extra.cost for extra in brief.extras) + (found.delivery.cost if found.delivery else 0)
    assert abs(totals.cost - lines - other) < DUST
    bought = sum(ingredient.cost for ingredient in found.ingredients)
    assert abs(bought - sum(line.ingredients + line.packaging for line in found.lines)) < DUST
    own = sum(line.labor_minutes for line in found.lines)
    assert own + DUST >= sum(recipe.labor_minutes for recipe in found.recipes)


@given(SEEDS)
def test_prices_keep_the_step_and_the_rule(seed: int) -> None:
    book, brief, found = drawn(seed)
    order = Computation(compile_book(book), brief)
    for line in found.lines:
        rule = book.price_rule(line.rule)
        assert (line.target_price / book.kitchen.price_step).denominator == 1
        assert line.target_price >= rule.minimum
        factor = order.compiled.gross_factor(order.rates[book.product(line.product).tax])
        floor = line.unit_cost / (1 - rule.margin) * factor
        assert floor - DUST <= line.target_price
        assert line.target_price < max(floor, rule.minimum) + book.kitchen.price_step
        assert line.servings == line.units * book.product(line.product).servings


@given(SEEDS)
def test_the_order_of_lines_changes_nothing(seed: int) -> None:
    book, brief, found = drawn(seed)
    turned = estimate(book, replace(brief, lines=brief.lines[::-1]))
    assert (turned.lines, turned.totals, turned.recipes, turned.ingredients) == (
        found.lines,
        found.totals,
        found.recipes,
        found.ingredients,
    )


@given(SEEDS, st.integers(1, 5))
def test_more_units_never_cost_less_to_make(seed: int, times: int) -> None:
    book, brief, found = drawn(seed)
    line = brief.lines[0]
    more = estimate(book, brief.with_line(line.product, units=line.units * (1 + times), unit_price=line.unit_price))
    assert more.totals.cost >= found.totals.cost - DUST


@given(SEEDS)
def test_a_higher_margin_never_lowers_a_price_and_a_discount_never_raises_a_total(seed: int) -> None:
    book, brief, found = drawn(seed)
    dearer = replace(book, price_rules=tuple(replace(rule, margin=(rule.margin + 1) / 2) for rule in book.price_rules))
    for before, after in zip(found.lines, estimate(dearer, brief).lines, strict=True):
        assert after.target_price >= before.target_price
    plain = estimate(book, replace(brief, discount=Fraction(0)))
    assert estimate(book, replace(brief, discount=Fraction(1, 10))).totals.total <= plain.totals.total


@given(SEEDS)
def test_what_is_bought_covers_what_is_needed_and_leaves_what_is_said(seed: int) -> None:
    book, _, found = drawn(seed)
    for row in found.ingredients:
        if row.packs is None or row.leftover is None or row.leftover_value is None:
            continue
        item = book.ingredient(row.ingredient)
        sizes = {pack.size.text: item.amount_of(pack.size, book.kitchen.cup) for pack in item.packs}
        bought = sum(sizes[pack.size] * pack.count for pack in row.packs)
        assert bought >= row.as_purchased - DUST
        assert abs(bought - row.as_purchased - row.leftover) < DUST
        assert abs(row.leftover_value * bought - row.leftover * row.cost) < DUST * 10**6


@given(SEEDS)
def test_an_estimate_travels_and_a_brief_is_written_back(seed: int) -> None:
    book, brief, found = drawn(seed)
    assert pickle.loads(pickle.dumps(found)) == found  # noqa: S301 - our own bytes
    assert pickle.loads(pickle.dumps(book)) == book  # noqa: S301 - our own bytes
    assert read_brief(write_brief(brief)) == brief


@settings(deadline=None)
@given(SEEDS, st.sampled_from(["0.01", "0.05", "1", "7"]))
def test_more_costs_less_is_reported_where_it_is_so_and_nowhere_else(seed: int, step: str) -> None:
    """Larger quantities worked out as new orders: the next ten multiples, and where another rule takes over."""
    document = any_book(seed)
    document["kitchen"]["price_step"] = step if document["currency"] != "JPY" else "7"
    first = document["products"][0]["code"]
    document["price_rules"].append({"code": "tray", "margin": "0.05", "from_units": 60, "product": first})
    book, brief = read_book(document), read_brief(any_brief(seed, document))
    found = estimate(book, brief)
    warned = {warning.at for warning in found.warnings if warning.code == "more_costs_less"}
    for at, line in enumerate(brief.lines):
        now, multiple = found.line(line.product), book.product(line.product).sale_multiple

        def with_units(units: int, line: BriefLine = line) -> LineEstimate:
            other = brief.with_line(line.product, units=units, unit_price=line.unit_price)
            return estimate(book, other, warn=False).line(line.product)

        starts = {-(-rule.from_units // multiple) * multiple for rule in book.price_rules}
        larger = {units: with_units(units) for units in starts if units > line.units}
        surely = {
            units: with_units(units) for units in range(line.units + multiple, line.units + multiple * 11, multiple)
        }
        if len(brief.lines) == 1:
            surely |= {n: one for n, one in larger.items() if with_units(n - multiple).rule != one.rule}
        where = f"brief#/lines/{at}/units" in warned
        if any(one.amount < now.amount for one in surely.values()):
            assert where
        if where and len(brief.lines) == 1:
            assert any(one.amount < now.amount for one in (larger | surely).values())
        if where:
            message = next(w.message for w in found.warnings if w.at == f"brief#/lines/{at}/units")
            assert with_units(int(re.findall("[0-9]+ units", message)[-1].split()[0])).amount < now.amount


def test_one_more_can_be_charged_less_by_the_price_step() -> None:
    from tests.contract.test_every_error import BOOK

    document = BOOK | {
        "price_rules": [{"code": "one", "margin": "0.8"}],
        "overhead": {"per_order": "500"},
        "kitchen": BOOK["kitchen"] | {"price_step": "10"},
    }
    book, empty = read_book(document), Brief(date(2026, 11, 24), ())
    found = {n: estimate(book, empty.with_line("custard-tart-10", units=n)) for n in range(6, 180, 6)}
    warned = [n for n in range(6, 120, 6) if "more_costs_less" in {warning.code for warning in found[n].warnings}]
    amounts = {n: one.lines[0].amount for n, one in found.items()}
    assert warned == [n for n in range(6, 120, 6) if any(amounts[n + 6 * k] < amounts[n] for k in range(1, 11))]
    assert warned


def test_a_larger_quantity_that_is_charged_less_is_reported() -> None:
    from tests.contract.test_every_error import BOOK

    document = BOOK | {
        "price_rules": [{"code": "one", "margin": "0.8"}, {"code": "tray", "margin": "0.2", "from_units": 24}]
    }
    book = read_book(document)
    brief = read_brief(
        {"format": "coldset-brief/1", "date": "2026-11-24", "lines": [{"product": "custard-tart-10", "units": 18}]}
    )
    found = estimate(book, brief)
    assert ("more_costs_less", "brief#/lines/0/units") in {(w.code, w.at) for w in found.warnings}
    more = estimate(book, brief.with_line("custard-tart-10", units=24))
    assert more.lines[0].amount < found.lines[0].amount
    assert "more_costs_less" not in {w.code for w in more.warnings}


def _dearer(book: Book, at: int) -> Book:
    """Raise the prices of one ingredient's packs."""
    goods = list(book.ingredients)
    place = at % len(goods)
    packs = tuple(replace(pack, price=pack.price * 3 / 2) for pack in goods[place].packs)
    goods[place] = replace(goods[place], packs=packs)
    return replace(book, ingredients=tuple(goods))


def _thrown_away(book: Book, at: int) -> Book:
    """Halve what is usable of one ingredient."""
    goods = list(book.ingredients)
    place = at % len(goods)
    parts = tuple(replace(part, share=part.share / 2) for part in goods[place].parts)
    goods[place] = replace(goods[place], yield_=goods[place].yield_ / 2, parts=parts)
    return replace(book, ingredients=tuple(goods))


def _turned(book: Book, at: int) -> Book:
    return replace(book, ingredients=book.ingredients[::-1], recipes=book.recipes[::-1], products=book.products[::-1])


def _more_waste(book: Book, at: int) -> Book:
    return replace(book, kitchen=replace(book.kitchen, waste=book.kitchen.waste + Fraction(1, 10)))


def _other_cup(book: Book, at: int) -> Book:
    cup: CupKind = "metric" if book.kitchen.cup == "us" else "us"
    return replace(book, kitchen=replace(book.kitchen, cup=cup))


def _more_spare(book: Book, at: int) -> Book:
    products = tuple(replace(product, spare=product.spare + Fraction(1, 20)) for product in book.products)
    return replace(book, products=products)


def _more_lost(book: Book, at: int) -> Book:
    recipes = tuple(replace(recipe, loss=recipe.loss / 2) for recipe in book.recipes)
    return replace(book, recipes=recipes)


_CHANGES = (_dearer, _thrown_away, _turned, _more_waste, _other_cup, _more_spare, _more_lost)


@given(SEEDS, st.lists(st.tuples(st.sampled_from(_CHANGES), st.integers(0, 50)), min_size=1, max_size=3))
def test_what_is_taken_over_from_an_earlier_book_changes_no_figure(
    seed: int, changes: list[tuple[Callable[[Book, int], Book], int]]
) -> None:
    book, brief, _ = drawn(seed)
    for change, at in changes:
        changed = change(book, at)
        compile_book(changed, book)
        anew = pickle.loads(pickle.dumps(changed))  # noqa: S301 - our own bytes
        assert estimate(changed, brief) == estimate(anew, brief)
        book = changed


def test_after_a_change_of_price_only_the_ingredient_with_new_packs_is_worked_out_again() -> None:
    book, brief, found = drawn(7)
    used = {ingredient.ingredient for ingredient in found.ingredients}
    at = next(at for at, ingredient in enumerate(book.ingredients) if ingredient.code in used)
    before, after = compile_book(book), compile_book(changed := _dearer(book, at), book)
    estimate(changed, brief)
    assert after.structure is before.structure
    old, new = before.offers_on(brief.date), after.offers_on(brief.date)
    assert {place for place in new if new[place] is not old[place]} == {at}
    assert compile_book(_thrown_away(changed, at), changed).structure is not before.structure
