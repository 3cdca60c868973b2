"""Amounts are added up by their tax code."""

from hypothesis import given
from hypothesis import strategies as st

from costing.money.allocation import sum_by_code

AMOUNTS = st.lists(st.tuples(st.sampled_from("abc"), st.integers(-1000, 1000)))


@given(AMOUNTS)
def test_each_code_has_the_sum_of_its_amounts(amounts: list[tuple[str, int]]) -> None:
    sums = sum_by_code(amounts)
    assert list(sums) == list(dict.fromkeys(code for code, _ in amounts))
    assert all(sums[code] == sum(amount for other, amount in amounts if other == code) for code in sums)
