"""Rounding, price steps and splits of money: which way a half goes and which part gets the odd unit."""

from __future__ import annotations

from fractions import Fraction

import pytest

from costing.money.allocation import allocate
from costing.money.rounding import half_up, half_up_ratio, is_minor, minor_digits, step_up, to_minor


@pytest.mark.parametrize(
    ("value", "whole"),
    [("0.5", 1), ("-0.5", -1), ("1.5", 2), ("2.5", 3), ("-2.5", -3), ("0.49", 0), ("-0.49", 0), ("0.51", 1), ("0", 0)],
)
def test_a_half_goes_away_from_zero(value: str, whole: int) -> None:
    exact = Fraction(value)
    assert half_up(exact) == whole
    assert half_up_ratio(6 * exact.numerator, 6 * exact.denominator) == whole


@pytest.mark.parametrize(
    ("value", "digits", "minor"),
    [
        ("10", 2, 1000),
        ("1.005", 2, 101),
        ("-1.005", 2, -101),
        ("1.00499", 2, 100),
        ("2/3", 2, 67),
        ("0.5", 0, 1),
        ("0.0005", 3, 1),
    ],
)
def test_an_amount_is_rounded_to_whole_minor_units_a_half_away_from_zero(value: str, digits: int, minor: int) -> None:
    assert to_minor(Fraction(value), digits) == minor


@pytest.mark.parametrize(("currency", "digits"), [("USD", 2), ("EUR", 2), ("JPY", 0), ("KWD", 3), ("CLF", 4)])
def test_a_currency_has_the_decimals_of_iso_4217(currency: str, digits: int) -> None:
    assert minor_digits(currency) == digits


def test_a_currency_that_iso_4217_does_not_list_has_no_minor_unit() -> None:
    with pytest.raises(KeyError):
        minor_digits("XAU")


def test_a_cent_is_a_minor_unit_of_the_dollar_and_not_of_the_yen() -> None:
    assert is_minor(Fraction("0.01"), 2)
    assert not is_minor(Fraction("0.001"), 2)
    assert not is_minor(Fraction("0.01"), 0)


@pytest.mark.parametrize(
    ("value", "step", "stepped"),
    [("5", "0.25", "5"), ("5.01", "0.25", "5.25"), ("4.99", "0.25", "5"), ("0", "0.25", "0"), ("1/3", "0.01", "0.34")],
)
def test_a_price_is_rounded_up_to_a_step_and_a_multiple_of_the_step_stays(value: str, step: str, stepped: str) -> None:
    assert step_up(Fraction(value), Fraction(step)) == Fraction(stepped)


SPLITS = [
    # The odd unit goes to the largest remainder ...
    (100, {"a": 1, "b": 1, "c": 4}, {"a": 17, "b": 17, "c": 66}),
    (10, {"a": 14, "b": 55, "c": 31}, {"a": 1, "b": 6, "c": 3}),
    (10, {"a": 11, "b": 14, "c": 75}, {"a": 1, "b": 1, "c": 8}),
    # ... two of them to the two largest ...
    (100, {"a": 1, "b": 2, "c": 4}, {"a": 14, "b": 29, "c": 57}),
    (11, {"a": 15, "b": 16, "c": 17, "d": 52}, {"a": 1, "b": 2, "c": 2, "d": 6}),
    # ... and of equal ones to the first in the alphabet, whatever came first.
    (1, {"b": 1, "a": 1}, {"a": 1, "b": 0}),
    (100, {"c": 1, "b": 1, "a": 1}, {"a": 34, "b": 33, "c": 33}),
    (101, {"c": 1, "b": 1, "a": 1}, {"a": 34, "b": 34, "c": 33}),
    # No amount is too large to be split to the unit.
    (10**18 + 1, {"a": 1, "b": 2}, {"a": 333_333_333_333_333_334, "b": 666_666_666_666_666_667}),
    # A name without weight gets nothing; without any weight the first gets all.
    (7, {"a": 0, "b": 2, "c": 1}, {"a": 0, "b": 5, "c": 2}),
    (7, {"b": 0, "a": 0}, {"a": 7, "b": 0}),
    (7, {"b": 3}, {"b": 7}),
    (0, {"a": 1, "b": 1}, {"a": 0, "b": 0}),
]


@pytest.mark.parametrize(("amount", "weights", "parts"), SPLITS)
def test_the_odd_unit_goes_to_the_largest_remainder_and_then_to_the_first_name(
    amount: int, weights: dict[str, int], parts: dict[str, int]
) -> None:
    given = allocate(amount, weights)
    assert given == parts
    assert list(given) == sorted(weights)
    assert allocate(amount, {name: Fraction(weight, 7) for name, weight in weights.items()}) == parts


@pytest.mark.parametrize(("amount", "weights", "parts"), SPLITS)
def test_a_discount_is_split_as_a_surcharge_is(amount: int, weights: dict[str, int], parts: dict[str, int]) -> None:
    assert allocate(-amount, weights) == {name: -part for name, part in parts.items()}
