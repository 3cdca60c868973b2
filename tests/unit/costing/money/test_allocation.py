"""Parts add up to the whole, none is a whole unit away from its share, and ties go to the first."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.money.allocation import allocate, round_to_total

AMOUNTS = st.lists(st.fractions(-1000, 1000, max_denominator=60), min_size=1, max_size=8)


@given(st.integers(-(10**6), 10**6), st.dictionaries(st.text(max_size=3), st.integers(0, 50), min_size=1, max_size=6))
def test_an_amount_is_split_in_proportion(amount: int, weights: dict[str, int]) -> None:
    parts = allocate(amount, weights)
    assert list(parts) == sorted(weights)
    assert sum(parts.values()) == amount
    total = sum(weights.values())
    if total:
        assert all(abs(parts[name] - Fraction(amount * weights[name], total)) < 1 for name in weights)


def test_ties_of_an_allocation_go_to_the_first_in_the_alphabet_on_the_absolute_amount() -> None:
    assert allocate(100, {"b": 1, "a": 1, "c": 1}) == {"a": 34, "b": 33, "c": 33}
    assert allocate(-100, {"b": 1, "a": 1, "c": 1}) == {"a": -34, "b": -33, "c": -33}
    assert allocate(5, {"b": 0, "a": 0}) == {"a": 5, "b": 0}


@given(AMOUNTS)
def test_amounts_rounded_to_their_own_total_are_less_than_a_unit_off(exact: list[Fraction]) -> None:
    for total in (sum(exact) // 1, -(-sum(exact) // 1)):
        parts = round_to_total(total, exact)
        assert sum(parts) == total
        assert all(abs(part - amount) < 1 for part, amount in zip(parts, exact, strict=True))


@given(AMOUNTS, st.integers(-5000, 5000))
def test_amounts_rounded_to_any_total_add_up_to_it(exact: list[Fraction], total: int) -> None:
    assert sum(round_to_total(total, exact)) == total


def test_ties_of_rounding_go_to_the_amount_that_stands_first() -> None:
    half = Fraction(1, 2)
    assert round_to_total(2, [half, half, half, half]) == [1, 1, 0, 0]
    assert round_to_total(-1, [-half, -half]) == [0, -1]
    assert round_to_total(3, [Fraction(1, 3), Fraction(5, 3), Fraction(1)]) == [0, 2, 1]


def test_a_difference_larger_than_rounding_is_allocated_to_all() -> None:
    assert round_to_total(10, [Fraction(1), Fraction(2)]) == [5, 5]
    assert round_to_total(0, []) == []
    with pytest.raises(ValueError, match="no amount"):
        round_to_total(1, [])
