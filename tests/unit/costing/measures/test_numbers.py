"""Computed figures: written as decimals, computed with as fractions."""

from __future__ import annotations

import copy
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from costing.measures.numbers import Figure, figure_text, wide

WIDE_FIGURES = st.one_of(
    st.fractions(max_denominator=10**6).map(wide),
    st.decimals(min_value=-(10**35), max_value=10**35, places=45, allow_nan=False, allow_infinity=False),
    st.integers(-(10**14), 10**14).map(lambda halves: wide(Fraction(halves, 2 * 10**12))),
)


@given(WIDE_FIGURES)
def test_a_figure_is_written_as_the_fraction_it_stands_for(computed: Decimal) -> None:
    figure = Figure(computed)
    exact = Fraction(*figure.as_integer_ratio())
    assert figure_text(figure) == figure_text(exact)
    assert (figure, hash(figure), figure * 3, 1 - figure) == (exact, hash(exact), exact * 3, 1 - exact)
    assert abs(exact - Fraction(computed)) <= Fraction(1, 2 * 10**40)


def test_a_figure_is_copied_and_stored_as_a_fraction() -> None:
    figure = Figure(wide(Fraction(1, 3)))
    assert copy.copy(figure) is copy.deepcopy(figure) is figure
    made, parts = figure.__reduce__()
    assert made(*parts) == figure


def test_a_share_just_below_a_half_by_eighty_digits_is_the_half_it_stands_for() -> None:
    half = Figure(Decimal("0.0000000000004" + 60 * "9"))
    assert figure_text(half) == "0.000000000001"
