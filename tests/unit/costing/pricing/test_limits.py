"""A margin that is exactly the limit keeps it; a cent less does not."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.unit.costing.plain_books import plain_book, priced, warned

#: Each costs 3.00, so 5.00 earns exactly the 40 % of the rule, and of the floor where one is set.
AT_LIMIT, A_CENT_LESS = "5.00", "4.99"


@pytest.mark.parametrize(("price", "below"), [(AT_LIMIT, False), (A_CENT_LESS, True)])
def test_goods_that_earn_the_floor_margin_to_the_cent_are_not_below_it(price: str, below: bool) -> None:
    found = priced(plain_book(kitchen={"floor_margin": "0.4"}), {"pear": 6}, {"pear": price})
    assert found.totals.below_floor is below
    assert ("below_floor" in warned(found)) is below


@pytest.mark.parametrize(("price", "below"), [("5.50", False), ("5.49", True)])
def test_with_gross_prices_the_tax_is_no_part_of_the_margin(price: str, below: bool) -> None:
    found = priced(plain_book(kitchen={"floor_margin": "0.4", "prices": "gross"}), {"pear": 6}, {"pear": price})
    assert found.totals.below_floor is below


@pytest.mark.parametrize(("discount", "below"), [("0.2", False), ("0.201", True)])
def test_the_discount_counts_against_the_floor_and_delivery_and_extras_do_not(discount: str, below: bool) -> None:
    """Ten at 5.00 less a fifth are 40.00, of which a cost of 30.00 leaves exactly a quarter."""
    delivery = {"role": "driver", "per_km": "0.5", "margin": "0.9", "tax": "goods"}
    book = plain_book(kitchen={"floor_margin": "0.25"}, delivery=delivery)
    extra = [{"code": "stands", "cost": "0", "amount": "500.00", "tax": "low"}]
    found = priced(
        book,
        {"pear": 10},
        {"pear": AT_LIMIT},
        discount=discount,
        delivery={"km": "10", "minutes": "10", "crew": 1, "setup_minutes": "0"},
        extras=extra,
    )
    assert found.totals.goods_margin is not None
    assert (found.totals.goods_margin < Fraction("0.25")) is below is found.totals.below_floor


@pytest.mark.parametrize("floor", ["0", "0.4"])
def test_goods_without_revenue_are_below_any_floor(floor: str) -> None:
    found = priced(plain_book(kitchen={"floor_margin": floor}), {"pear": 6}, {"pear": "0.00"})
    assert found.totals.below_floor
    assert found.totals.goods_margin is None


def test_a_floor_that_no_decimal_writes_out_is_still_met_exactly() -> None:
    """Six at 0.20 hold a tax of 8 %, net 1.20 / 1.08 = 10/9; with a floor of 10 % a cost of 1.00 is just allowed."""
    book = plain_book(kitchen={"floor_margin": "0.1", "prices": "gross"})
    book["taxes"]["low"] = [{"rate": "0.08", "from": "2020-01-01"}]
    book["ingredients"][0]["packs"] = [{"size": "6 each", "price": "1.00", "from": "2026-01-01"}]
    assert not priced(book, {"pear": 6}, {"pear": "0.20"}).totals.below_floor
    book["ingredients"][0]["packs"][0]["price"] = "1.01"
    assert priced(book, {"pear": 6}, {"pear": "0.20"}).totals.below_floor


@pytest.mark.parametrize(("price", "misses"), [(AT_LIMIT, False), (A_CENT_LESS, True), ("0.00", True)])
def test_a_given_price_that_earns_the_margin_asked_for_to_the_cent_does_not_miss_it(price: str, misses: bool) -> None:
    found = priced(plain_book(), {"pear": 1}, {"pear": price})
    assert found.lines[0].basis == "given"
    assert ("below_target" in warned(found)) is misses


@pytest.mark.parametrize(("price", "misses"), [(AT_LIMIT, False), (A_CENT_LESS, True)])
def test_a_list_price_is_held_against_the_rule_as_a_given_one_is(price: str, misses: bool) -> None:
    book = plain_book()
    book["products"][0]["list_price"] = price
    found = priced(book, {"pear": 1})
    assert found.lines[0].basis == "list"
    assert ("below_target" in warned(found)) is misses


def test_a_price_that_follows_the_rule_never_misses_it() -> None:
    found = priced(plain_book(), {"pear": 1, "tart": 1})
    assert [(line.basis, line.unit_price) for line in found.lines] == [("rule", 5), ("rule", 5)]
    assert warned(found) == []


@pytest.mark.parametrize(("cost", "price"), [("3.00", "5.00"), ("3.01", "5.02"), ("2.99", "4.99"), ("0.01", "0.02")])
def test_the_price_of_a_rule_is_the_least_step_that_earns_its_margin(cost: str, price: str) -> None:
    (line,) = priced(plain_book(cost=cost), {"pear": 1}).lines
    assert line.target_price == line.unit_price == Fraction(price)
    assert line.margin is not None
    assert line.margin >= Fraction("0.4") > 1 - Fraction(cost) / (Fraction(price) - Fraction("0.01") or 1)


@pytest.mark.parametrize(("minimum", "price"), [("5.00", "5.00"), ("5.01", "5.25"), ("5.25", "5.25"), ("4.99", "5.00")])
def test_a_rules_minimum_is_rounded_up_to_the_price_step(minimum: str, price: str) -> None:
    rules = [{"code": "house", "margin": "0.4", "minimum": minimum}]
    book = plain_book(kitchen={"price_step": "0.25"}, price_rules=rules)
    assert priced(book, {"pear": 1}).lines[0].unit_price == Fraction(price)
