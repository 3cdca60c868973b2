"""Volumes of pans, and by how much one is larger than another."""

import math
from fractions import Fraction

import pytest

from catalog.molds.pans import Pan, pan_factor


def _round(diameter: int, height: int | None) -> Pan:
    return Pan("round", Fraction(diameter), None, None, None if height is None else Fraction(height))


class TestPans:
    """Volumes by elementary geometry: a cylinder is πd²h/4, a block is l·w·h."""

    def test_a_ring_half_again_as_wide_takes_two_and_a_quarter_times_as_much(self) -> None:
        assert pan_factor(_round(20, 5), _round(30, 5)) == Fraction(9, 4)

    def test_height_counts(self) -> None:
        assert pan_factor(_round(20, 4), _round(20, 6)) == Fraction(3, 2)

    def test_without_a_height_the_depth_is_taken_as_the_same(self) -> None:
        assert pan_factor(_round(20, None), _round(30, 6)) == Fraction(9, 4)

    def test_round_to_tray(self) -> None:
        tray = Pan("tray", None, Fraction(40), Fraction(30), Fraction(3))
        factor = pan_factor(_round(24, 5), tray)
        assert factor is not None
        assert float(factor) == pytest.approx(40 * 30 * 3 / (math.pi / 4 * 24**2 * 5), abs=5e-5)

    def test_a_pan_without_measures_gives_no_factor(self) -> None:
        assert pan_factor(Pan("round", None, None, None, None), _round(20, 5)) is None
