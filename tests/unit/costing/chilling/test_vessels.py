"""Vessels: what they hold, how high a batch fills them, and what does not fit."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.chilling import (
    VESSEL_KINDS,
    Block,
    Cylinder,
    DoesNotFit,
    Vessel,
    divided,
    filled,
    holds_kg,
    vessels_needed,
)
from costing.chilling.film_coefficients import WALLS

PAN = Vessel("hotel pan", 65, length_mm=505, width_mm=300)
POT = Vessel("pot", 200, diameter_mm=240)
BOWL = Vessel("bowl", 120, diameter_mm=300)
RHO = 1050.0


def test_a_pan_a_pot_and_a_half_sphere_hold_what_geometry_says() -> None:
    assert PAN.litres == pytest.approx(5.05 * 3.0 * 0.65)
    assert POT.litres == pytest.approx(pi * 1.2**2 * 2)
    assert Vessel("bowl", 150, diameter_mm=300).litres == pytest.approx(2 / 3 * pi * 1.5**3)


def test_a_batch_fills_a_pan_as_high_as_its_volume_over_the_floor() -> None:
    fill = filled(PAN, 8.0, RHO, 2)
    assert fill.each_kg == 4.0
    assert fill.height_mm == pytest.approx(4.0 / 1.05 / (5.05 * 3.0) * 100)
    assert fill.body == Block(505, 300, fill.height_mm)
    assert divided(fill, 4).height_mm == pytest.approx(fill.height_mm / 2)


@given(st.floats(0.02, 1.0), st.floats(60, 200), st.floats(150, 500))
def test_a_bowl_filled_to_a_height_holds_what_that_height_says(share: float, deep: float, wide: float) -> None:
    bowl = Vessel("bowl", deep, diameter_mm=wide)
    assert bowl.height_of(bowl.litres_to(share * deep)) == pytest.approx(share * deep, rel=1e-6)


def test_a_bowl_is_the_cylinder_around_its_filling() -> None:
    fill = filled(BOWL, 2.0, RHO)
    assert isinstance(fill.body, Cylinder)
    assert fill.body.height_mm == fill.height_mm
    assert pi * fill.body.diameter_mm**2 / 4 * fill.height_mm / 1e6 > 2.0 / RHO * 1000
    assert filled(BOWL, holds_kg(BOWL, RHO), RHO).body == Cylinder(pytest.approx(300), pytest.approx(120))  # type: ignore[arg-type]


def test_what_does_not_fit_is_refused_with_how_many_would_do() -> None:
    with pytest.raises(DoesNotFit) as found:
        filled(POT, 25.0, RHO, 2)
    error = found.value
    assert (error.vessel, error.count, error.kg, error.needed) == (POT, 2, 25.0, 3)
    assert error.holds_kg == pytest.approx(POT.litres * 1.05)
    assert filled(POT, 25.0, RHO, 3).height_mm <= 200


@given(st.floats(0.1, 80), st.floats(10, 65))
def test_as_many_vessels_as_needed_are_enough_and_one_fewer_is_not(kg: float, height: float) -> None:
    count = vessels_needed(PAN, kg, RHO, height)
    assert filled(PAN, kg, RHO, count).height_mm <= height * (1 + 1e-6)
    assert count == 1 or kg / (count - 1) > holds_kg(PAN, RHO, height)


def test_a_full_vessel_fits_to_the_gram() -> None:
    for vessel in (PAN, POT, BOWL):
        assert filled(vessel, holds_kg(vessel, RHO), RHO).height_mm == pytest.approx(vessel.depth_mm)


@pytest.mark.parametrize("kind", VESSEL_KINDS)
def test_every_kind_has_a_wall_of_a_known_stuff(kind: str) -> None:
    known = VESSEL_KINDS[kind]
    assert known.wall in WALLS
    assert set(known.walls_mm) == set(WALLS)
    sizes = dict.fromkeys(known.sizes, 100.0)
    around = Vessel(kind, **sizes).surroundings()  # type: ignore[arg-type]
    assert (around.wall, around.wall_mm) == (known.wall, known.walls_mm[known.wall])


def test_a_wall_and_its_thickness_may_be_said() -> None:
    around = Vessel("tub", 60, length_mm=250, width_mm=160, wall="glass", wall_mm=4.0, lid=True).surroundings("board")
    assert (around.wall, around.wall_mm, around.base, around.covered, around.lid) == ("glass", 4.0, "board", True, True)
