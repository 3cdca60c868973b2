"""The cheapest packs, against trying every combination."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from fractions import Fraction
from heapq import heappop
from math import lcm
from operator import mul
from random import Random
from unittest import mock

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.purchasing.pack_search import PackShelf


def every_combination(sizes: list[Fraction], prices: list[Fraction], need: Fraction) -> tuple[int, ...]:
    """Try every number of every pack but the last, of which the fewest that cover: more only adds grams."""
    grams_in = lcm(*(amount.denominator for amount in (*sizes, need)))
    coins_in = lcm(*(price.denominator for price in prices))
    grams = [int(size * grams_in) for size in sizes]
    coins = [int(price * coins_in) for price in prices]
    needed = int(need * grams_in)

    def covering() -> Iterator[tuple[int, int, int, tuple[int, ...]]]:
        for some in itertools.product(*(range(-(-needed // size) + 1) for size in grams[:-1])):
            missing = needed - sum(map(mul, some, grams))
            counts = (*some, max(0, -(-missing // grams[-1])))
            yield sum(map(mul, counts, coins)), sum(map(mul, counts, grams)), sum(counts), tuple(-n for n in counts)

    return tuple(-n for n in min(covering())[3])


SIZES = st.fractions(Fraction(1, 2), 8, max_denominator=3)
PRICES = st.sampled_from([Fraction(n, 2) for n in (0, 1, 2, 3, 4, 6, 9)])
PACKS = st.lists(st.tuples(SIZES, PRICES), min_size=1, max_size=3)
PROPORTIONAL = st.lists(SIZES, min_size=1, max_size=3).map(lambda sizes: [(size, size * 2) for size in sizes])


NEARLY = st.lists(SIZES, min_size=2, max_size=4).flatmap(
    lambda sizes: st.tuples(*(st.sampled_from([(s, s * 20), (s, s * 20 + 1)]) for s in sizes)).map(list)
)


@settings(max_examples=300)
@given(PACKS | PROPORTIONAL, st.fractions(Fraction(1, 4), 20, max_denominator=4))
def test_no_other_combination_comes_before_it(packs: list[tuple[Fraction, Fraction]], need: Fraction) -> None:
    sizes, prices = [size for size, _ in packs], [price for _, price in packs]
    shelf = PackShelf(sizes, prices)
    assert shelf.cheapest(shelf.units(need)) == every_combination(sizes, prices, need)


@settings(max_examples=200)
@given(PACKS | PROPORTIONAL | NEARLY, st.fractions(Fraction(1, 4), 20, max_denominator=4))
def test_met_in_the_middle_no_other_combination_comes_before_it(
    packs: list[tuple[Fraction, Fraction]], need: Fraction
) -> None:
    """The meet-in-the-middle method, used whenever it gives an answer."""
    sizes, prices = [size for size, _ in packs], [price for _, price in packs]
    shelf = PackShelf(sizes, prices)
    with mock.patch("costing.purchasing.pack_search.PATIENCE", 1):
        assert shelf.cheapest(shelf.units(need)) == every_combination(sizes, prices, need)


def test_the_two_ways_agree_where_the_first_has_long_to_look() -> None:
    rng = Random(7)
    for _ in range(12):
        sizes = [rng.randint(10**3, 10**4) for _ in range(6)]
        prices = [Fraction(round(size * (1 + rng.uniform(0, 0.002))), 100) for size in sizes]
        shelf, need = PackShelf([Fraction(size) for size in sizes], prices), rng.randint(10**5, 10**6)
        with mock.patch("costing.purchasing.pack_search.PATIENCE", 10**9):
            alone = shelf.cheapest(need)
        for patience in (1, 30):
            with mock.patch("costing.purchasing.pack_search.PATIENCE", patience):
                assert shelf.cheapest(need) == alone


@pytest.mark.parametrize("seed", range(4))
def test_seven_sizes_of_nine_digits_and_nearly_one_price_per_gram_are_quick(seed: int) -> None:
    """The test counts the choices visited, which does not depend on the machine's speed."""
    rng = Random(seed)
    sizes = [Fraction(rng.randint(10**8, 10**9)) for _ in range(7)]
    prices = [Fraction(round(int(size) / 10**4 * (1 + rng.uniform(0, 0.0001))), 100) for size in sizes]
    shelf = PackShelf(sizes, prices)
    need = rng.randint(10**11, 10**12)
    with mock.patch("costing.purchasing.pack_search.heappop", wraps=heappop) as looked_at:
        counts = shelf.cheapest(need)
    assert looked_at.call_count < 10_000
    assert sum(n * s for n, s in zip(counts, sizes, strict=True)) >= need


def test_equal_price_takes_the_least_grams_then_the_fewest_packs_then_the_pack_listed_first() -> None:
    def bought(sizes: list[int], prices: list[int], need: int) -> tuple[int, ...]:
        return PackShelf([Fraction(s) for s in sizes], [Fraction(p) for p in prices]).cheapest(need)

    assert bought([10, 9], [5, 5], 9) == (0, 1)
    assert bought([2, 4], [1, 2], 4) == (0, 1)
    assert bought([3, 1, 2], [3, 1, 2], 4) == (1, 1, 0)  # 3+1 before 2+2: two packs each, most of the first
    assert bought([5, 5], [4, 4], 7) == (2, 0)


@pytest.mark.parametrize(
    ("sizes", "need", "wanted"),
    [
        ([4, 9, 7, 8], 23, (0, 1, 2, 0)),  # 9+7+7 before 7+8+8: most of the second
        ([13, 4, 11, 3, 9], 38, (2, 0, 0, 1, 1)),  # 13+13+9+3 before 13+11+11+3
        ([9, 13, 2, 6, 1], 27, (3, 0, 0, 0, 0)),  # 9+9+9 before 13+13+1
        ([1, 5, 11, 10, 12], 33, (0, 0, 3, 0, 0)),  # 11+11+11 before 12+11+10
        ([1, 14, 7], 28, (0, 2, 0)),  # two packs before four, or 28
        ([13, 13, 2], 17, (1, 0, 2)),  # of two packs alike the one that is listed first
    ],
)
def test_where_every_gram_costs_the_same_the_fewest_packs_win_and_then_the_first_listed(
    sizes: list[int], need: int, wanted: tuple[int, ...]
) -> None:
    exact, prices = [Fraction(size) for size in sizes], [Fraction(2 * size) for size in sizes]
    assert every_combination(exact, prices, Fraction(need)) == wanted
    assert PackShelf(exact, prices).cheapest(need) == wanted
    with mock.patch("costing.purchasing.pack_search.PATIENCE", 1):
        assert PackShelf(exact, prices).cheapest(need) == wanted


def test_a_need_of_thousands_of_packs_is_covered_exactly() -> None:
    sizes = [Fraction(250), 12 * Fraction("28.349523125"), Fraction("453.59237"), Fraction(1000), Fraction(2500)]
    prices = [Fraction(round(float(size)), 100) for size in sizes]
    shelf = PackShelf(sizes, prices)
    counts = shelf.cheapest(shelf.units(Fraction(4_000_123)))
    assert sum(n * s for n, s in zip(counts, sizes, strict=True)) >= 4_000_123
    paid = sum(n * p for n, p in zip(counts, prices, strict=True))
    assert paid <= min(-(-Fraction(4_000_123) // s) * p for s, p in zip(sizes, prices, strict=True))


def test_nothing_needed_buys_nothing() -> None:
    assert PackShelf([Fraction(1)], [Fraction(1)]).cheapest(0) == (0,)


@pytest.mark.parametrize(("need", "wanted"), [("56", (7,)), ("56.0000001", (8,))])
def test_the_point_of_one_more_pack_is_exact(need: str, wanted: tuple[int, ...]) -> None:
    """Common practice, no source: seven 8 oz packs are 56 oz."""
    ounce = Fraction("28.349523125")
    shelf = PackShelf([8 * ounce], [Fraction("2.10")])
    assert shelf.cheapest(shelf.units(Fraction(need) * ounce)) == wanted
