"""What an order adds up to, to the cent: every sum here was worked out by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from costing import Estimate
from tests.unit.costing.plain_books import plain_book, priced

HOUR = {"km": "10", "minutes": "15", "crew": 2, "setup_minutes": "30"}
"""Two people who drive a quarter of an hour each way and set up for half an hour, ten kilometres away."""


def terms(**more: Any) -> dict[str, Any]:
    return {"role": "driver", "per_km": "0.50", "margin": "0.2", "tax": "goods", **more}


def taxed(found: Estimate) -> dict[str, tuple[str, str]]:
    """Return what is taxable and the tax by code, as people write them."""
    return {tax.code: (f"{float(tax.taxable):.2f}", f"{float(tax.tax):.2f}") for tax in found.totals.taxes}


def test_net_prices_get_the_tax_on_top_rounded_once_for_each_rate() -> None:
    """3 × 0.05 at 10 % is 0.015, so 0.02; 1 × 0.12 at 20 % is 0.024, so 0.02."""
    found = priced(plain_book(), {"pear": 3, "tart": 1}, {"pear": "0.05", "tart": "0.12"})
    assert taxed(found) == {"high": ("0.12", "0.02"), "low": ("0.15", "0.02")}
    assert (found.totals.goods, found.totals.revenue, found.totals.total) == (
        Fraction("0.27"),
        Fraction("0.27"),
        Fraction("0.31"),
    )


def test_gross_prices_hold_the_tax_rounded_once_for_each_rate() -> None:
    """10.00 with 10 % in it hold 0.909, so 0.91; 9.99 with 20 % in it hold 1.665, so 1.67."""
    book = plain_book(kitchen={"prices": "gross"})
    found = priced(book, {"pear": 1, "tart": 1}, {"pear": "10.00", "tart": "9.99"})
    assert taxed(found) == {"high": ("8.32", "1.67"), "low": ("9.09", "0.91")}
    assert (found.totals.revenue, found.totals.total) == (Fraction("17.41"), Fraction("19.99"))


def test_a_customer_who_is_exempt_pays_no_tax() -> None:
    found = priced(plain_book(), {"pear": 1}, {"pear": "10.00"}, tax_exempt=True)
    assert taxed(found) == {"low": ("10.00", "0.00")}


def test_the_rate_is_that_of_the_day_of_supply() -> None:
    book = plain_book()
    book["taxes"]["low"].append({"rate": "0.15", "from": "2027-01-01"})
    assert taxed(priced(book, {"pear": 1}, {"pear": "10.00"})) == {"low": ("10.00", "1.00")}
    late = priced(book, {"pear": 1}, {"pear": "10.00"}, supply_date="2027-01-01")
    assert taxed(late) == {"low": ("10.00", "1.50")}


def test_discount_and_short_notice_are_shares_of_the_goods_rounded_half_up() -> None:
    """12.5 % of 5.00 + 5.24 is 1.28; 7.5 % of 10.24 is 0.768."""
    book = plain_book(kitchen={"rush_rate": "0.075"})
    prices = {"pear": "5.00", "tart": "5.24"}
    found = priced(book, {"pear": 1, "tart": 1}, prices, discount="0.125", rush=True)
    totals = found.totals
    assert (totals.discount, totals.surcharge, totals.top_up) == (Fraction("1.28"), Fraction("0.77"), 0)
    # −0.51 over 5.24 and 5.00: −0.2610 and −0.2490, so the odd cent is the larger remainder's.
    assert taxed(found) == {"high": ("4.98", "1.00"), "low": ("4.75", "0.48")}


def test_the_odd_cent_of_a_discount_goes_to_the_first_code_when_both_are_equal() -> None:
    found = priced(plain_book(), {"pear": 1, "tart": 1}, {"pear": "5.50", "tart": "5.50"}, discount="0.01")
    assert found.totals.discount == Fraction("0.11")
    assert taxed(found) == {"high": ("5.44", "1.09"), "low": ("5.45", "0.55")}


def test_without_short_notice_there_is_no_surcharge() -> None:
    found = priced(plain_book(kitchen={"rush_rate": "0.5"}), {"pear": 1}, {"pear": "5.00"})
    assert found.totals.surcharge == 0
    assert found.totals.total == Fraction("5.50")


@pytest.mark.parametrize(("minimum", "top_up"), [("20.00", "11.00"), ("9.00", "0"), ("9.01", "0.01"), ("8.99", "0")])
def test_the_least_order_is_reached_by_goods_less_discount_alone(minimum: str, top_up: str) -> None:
    """2 × 5.00 less a tenth are 9.00; the surcharge, delivery and extras do not help."""
    book = plain_book(kitchen={"order_minimum": minimum, "rush_rate": "0.5"}, delivery=terms())
    extra = [{"code": "stands", "cost": "0", "amount": "50.00", "tax": "low"}]
    found = priced(book, {"pear": 2}, discount="0.1", rush=True, delivery=HOUR, extras=extra)
    assert found.totals.top_up == Fraction(top_up)
    assert found.totals.revenue == 10 - 1 + 5 + Fraction(top_up) + found.totals.delivery + 50


def test_delivery_takes_both_ways_of_everybody_and_the_car_once() -> None:
    """2 × (2 × 15 + 30) min at 24.00 an hour are 48.00, 2 × 10 km at 0.50 are 10.00; 58.00 / 0.8 = 72.50."""
    found = priced(plain_book(delivery=terms()), {"pear": 1}, delivery=HOUR)
    assert found.delivery is not None
    assert (found.delivery.labor_minutes, found.delivery.cost, found.delivery.price) == (120, 58, Fraction("72.50"))
    assert found.totals.delivery == Fraction("72.50")
    assert found.totals.cost == 3 + 58


def test_delivery_is_stepped_up_and_with_gross_prices_holds_the_tax_of_most_goods() -> None:
    """58.00 / 0.8 = 72.50; with 20 % tax 87.00, with 10 % 79.75; the price step is 2.00."""
    book = plain_book(kitchen={"prices": "gross", "price_step": "2.00"}, delivery=terms())
    prices = {"pear": "10.00", "tart": "10.00"}
    more_tart, more_pear = {"pear": 1, "tart": 2}, {"pear": 2, "tart": 1}
    assert priced(book, more_tart, prices, delivery=HOUR).totals.delivery == 88
    assert priced(book, more_pear, prices, delivery=HOUR).totals.delivery == 80
    equal = priced(book, {"pear": 1, "tart": 1}, prices, delivery=HOUR)
    assert equal.totals.delivery == 88, "of two codes with as much, the first in the alphabet"


def test_delivery_with_a_tax_of_its_own_holds_that_tax_whatever_the_goods_are_taxed_with() -> None:
    """72.50 with 10 % in it is 79.75."""
    book = plain_book(kitchen={"prices": "gross"}, delivery=terms(tax="low"))
    found = priced(book, {"tart": 1}, {"tart": "12.00"}, delivery=HOUR)
    assert taxed(found) == {"high": ("10.00", "2.00"), "low": ("72.50", "7.25")}


def test_delivery_taxed_as_the_goods_is_split_over_them_and_otherwise_has_its_own_code() -> None:
    """72.50 over 20.00 and 10.00: 48.333 and 24.167, so the odd cent is the pear's."""
    lines, prices = {"pear": 2, "tart": 1}, {"pear": "10.00", "tart": "10.00"}
    split = priced(plain_book(delivery=terms()), lines, prices, delivery=HOUR)
    assert taxed(split) == {"high": ("34.17", "6.83"), "low": ("68.33", "6.83")}
    own = priced(plain_book(delivery=terms(tax="low")), {"tart": 1}, prices, delivery=HOUR)
    assert taxed(own) == {"high": ("10.00", "2.00"), "low": ("72.50", "7.25")}


def test_extras_are_summed_under_their_own_code_and_count_in_the_orders_margin_only() -> None:
    extras = [
        {"code": "stands", "cost": "1.00", "amount": "4.00", "tax": "high"},
        {"code": "linen", "cost": "2.00", "amount": "5.50", "tax": "high"},
    ]
    found = priced(plain_book(), {"pear": 1}, {"pear": "5.00"}, extras=extras)
    assert found.totals.extras == Fraction("9.50")
    assert taxed(found) == {"high": ("9.50", "1.90"), "low": ("5.00", "0.50")}
    assert found.totals.cost == 3 + 1 + 2
    assert found.totals.goods_margin == Fraction("0.4")
    assert found.totals.order_margin is not None
    assert abs(found.totals.order_margin - (1 - Fraction(6) / Fraction("14.5"))) < Fraction(1, 10**20)


def test_a_line_is_charged_price_times_units_and_its_net_is_without_tax() -> None:
    book = plain_book(kitchen={"prices": "gross"})
    (line,) = priced(book, {"pear": 7}, {"pear": "1.10"}).lines
    assert (line.unit_price, line.amount, line.net, line.basis) == (Fraction("1.10"), Fraction("7.70"), 7, "given")
    assert line.target_price == Fraction("5.50")


def test_what_costs_nothing_is_priced_at_nothing_unless_the_rule_has_a_minimum() -> None:
    assert priced(plain_book(cost="0.00"), {"pear": 1}).lines[0].unit_price == 0
    rules = [{"code": "house", "margin": "0.4", "minimum": "0.01"}]
    assert priced(plain_book(cost="0.00", price_rules=rules), {"pear": 1}).lines[0].unit_price == Fraction("0.01")


def test_a_given_price_comes_before_the_list_price_and_that_before_the_rules() -> None:
    book = plain_book()
    book["products"][0]["list_price"] = "6.00"
    lines = {"pear": 1, "tart": 1}
    assert [(line.basis, line.unit_price) for line in priced(book, lines).lines] == [("list", 6), ("rule", 5)]
    given = priced(book, lines, {"pear": "7.00"}).lines[0]
    assert (given.basis, given.unit_price, given.target_price) == ("given", 7, 5)
