"""Allocating pieces to desserts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.requirements.portions import ChosenProduct, portions_for_guests

CHOICES = st.lists(
    st.builds(
        ChosenProduct,
        product=st.just("x"),
        share=st.fractions(0, 10, max_denominator=7),
        sale_multiple=st.sampled_from([1, 6, 12]),
        servings=st.sampled_from([1, 8, 12]),
    ),
    min_size=1,
    max_size=6,
).filter(lambda choices: any(choice.share for choice in choices))


def test_120_guests_with_three_pieces_each_get_360_pieces_in_dozens() -> None:
    found = portions_for_guests(
        120,
        Fraction(3),
        [
            ChosenProduct("cream", Fraction(2), 12),
            ChosenProduct("tart", Fraction(1), 6),
            ChosenProduct("cake", Fraction(1), 1, 12),
        ],
    )
    assert [(h.product, h.units, h.pieces) for h in found.products] == [
        ("cream", 180, 180),
        ("tart", 90, 90),
        ("cake", 8, 96),
    ]
    assert (found.asked, found.pieces, found.leftover) == (360, 366, 6)


@given(st.integers(0, 400), st.fractions(0, 6, max_denominator=4), CHOICES)
def test_there_is_always_enough_and_nothing_is_a_multiple_off(
    guests: int, each: Fraction, choices: list[ChosenProduct]
) -> None:
    found = portions_for_guests(guests, each, choices)
    assert found.pieces >= found.asked >= guests * each > found.asked - 1
    assert sum((h.meant for h in found.products), Fraction(0)) == found.asked
    for helping, choice in zip(found.products, choices, strict=True):
        assert helping.units % choice.sale_multiple == 0
        assert helping.pieces == helping.units * choice.servings
        assert abs(helping.pieces - helping.meant) < choice.block
    # No multiple that was added could be left out again.
    for helping, choice in zip(found.products, choices, strict=True):
        if helping.pieces > helping.meant:
            assert found.pieces - choice.block < found.asked


@pytest.mark.parametrize(
    "choices",
    [[], [ChosenProduct("x", Fraction(0))], [ChosenProduct("x", Fraction(-1)), ChosenProduct("y", Fraction(3))]],
)
def test_what_cannot_be_spread_is_refused_with_a_sentence(choices: list[ChosenProduct]) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        portions_for_guests(10, Fraction(2), choices)
