"""The engine against a second, slow implementation of the contract, over made-up kitchens and orders."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing import estimate, read_book, read_brief, write_estimate
from tests.contract import oracle
from tests.contract.comparing import differences
from tests.contract.kitchens import any_book, any_brief

SEEDS = st.integers(min_value=0, max_value=10**9)


class TooManyCombinations(Exception):
    """The oracle tries every combination of packs; this order has too many."""


@pytest.fixture(autouse=True)
def _only_small_searches(monkeypatch: pytest.MonkeyPatch) -> None:
    whole_search = oracle.cheapest

    def small_search(sizes: list[Fraction], prices: list[Fraction], need: Fraction) -> tuple[int, ...]:
        combinations = 1
        for size in sizes:
            combinations *= oracle.ceil(need / size) + 1
        if combinations > 20_000:
            raise TooManyCombinations
        return whole_search(sizes, prices, need)

    monkeypatch.setattr(oracle, "cheapest", small_search)


def compared(seed: int) -> list[str]:
    book = any_book(seed)
    found: list[str] = []
    for n in range(2):
        brief = any_brief(seed + n, book)
        try:
            wanted: dict[str, Any] = oracle.oracle(book, brief)
        except TooManyCombinations:
            continue
        answer = write_estimate(estimate(read_book(book), read_brief(brief)))
        found += [f"seed {seed}: {gap}" for gap in differences(answer, wanted, Fraction(1, 10**10))]
    return found


@settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(SEEDS)
def test_any_order_of_any_kitchen_is_computed_as_the_contract_says(seed: int) -> None:
    assert compared(seed) == []


@pytest.mark.parametrize("seed", range(25))
def test_the_same_kitchens_every_time(seed: int) -> None:
    assert compared(seed) == []


def test_a_price_exactly_on_a_step_stays_there() -> None:
    """A kitchen whose only line costs 46.17 exactly: five units at a margin of 0.4 are 15.39 each, not 15.40."""
    assert compared(97370) == []
