"""A kitchen's words for air, molds and boxes."""

from __future__ import annotations

import pytest

from costing.chilling import (
    AIRS,
    CARRIED,
    FAST,
    ICE_BATH,
    ICE_WATER_C,
    SLOW,
    WALLS,
    Case,
    Slab,
    Stage,
    Vessel,
    away_stage,
    food_of,
)
from costing.chilling.film_coefficients import BATH_TOP_FAST, BENEATH
from costing.chilling.ranges import at_point
from tests.chilling_words import stage_in


def test_every_figure_says_where_it_is_from() -> None:
    for one in (*AIRS.values(), *CARRIED.values(), *WALLS.values()):
        assert len(one.source) > 10


def test_air_that_moves_more_takes_up_more_heat_and_a_box_less() -> None:
    def tops(*names: str) -> list[float]:
        return [AIRS[name].top for name in names]

    assert tops("still", "fan", "blast") == sorted(tops("still", "fan", "blast"))
    for films in AIRS.values():
        assert films.bottom < films.top
    assert CARRIED["bare"].top > CARRIED["carton"].top > CARRIED["insulated"].top


def test_a_metal_mold_on_a_rack_leaves_the_air_as_it_is() -> None:
    for name, films in AIRS.items():
        stage = stage_in(name, 60, 3)
        assert (stage.minutes, stage.ambient_c) == (60, 3)
        assert (stage.h_top, stage.h_side, stage.h_bottom) == pytest.approx(
            (films.top, films.side, films.bottom), rel=1e-3
        )


def test_a_wall_lies_between_food_and_air_at_side_and_base_only() -> None:
    """Resistances in series: 5 mm of glass of 1 W/m K beneath 8 W/m2 K."""
    stage = stage_in("still", 60, 3, wall="glass")
    assert stage.h_top == 8
    assert stage.h_side == pytest.approx(1 / (1 / 8 + 0.005))
    assert stage.h_bottom == pytest.approx(1 / (1 / 5 + 0.005))


@pytest.mark.parametrize("wall", WALLS)
def test_a_fan_gains_less_behind_a_thicker_wall_than_behind_metal(wall: str) -> None:
    for air in AIRS:
        stage, metal = stage_in(air, 60, 3, wall=wall), stage_in(air, 60, 3)
        assert 0 < stage.h_side <= metal.h_side
        assert stage.h_top == metal.h_top


def test_no_cold_comes_through_a_board_and_a_lid_weakens_the_top_only() -> None:
    assert stage_in("still", 60, 3, base="board").h_bottom == 0
    plain, lid = stage_in("blast", 60, 1), stage_in("blast", 60, 1, covered=True)
    assert lid.h_top == pytest.approx(1 / (1 / 35 + 1 / 7))
    assert (lid.h_side, lid.h_bottom) == (plain.h_side, plain.h_bottom)


def test_a_box_is_a_stage_like_any_other() -> None:
    assert away_stage("insulated", 90, 30) == Stage(90, 30, 1.2, 1.2, 1.2)
    assert away_stage("bare", 45, 25) == Stage(45, 25, 9, 9, 5)


def test_other_words_are_not_known() -> None:
    for words in ({"air": "wind"}, {"air": "fan", "wall": "stone"}, {"air": "fan", "base": "water"}):
        with pytest.raises(KeyError):
            stage_in(words["air"], 60, 3, wall=words.get("wall", "metal"), base=words.get("base", "open"))
    with pytest.raises(KeyError):
        away_stage("pocket", 60, 3)
    assert set(BENEATH) == {"open", "board"}


def test_an_ice_bath_takes_its_heat_through_the_wall_and_none_through_the_top() -> None:
    """2.5 mm of plastic of 0.2 W/m K in series with 200 W/m2 K."""
    tub = Vessel("tub", 60, length_mm=250, width_mm=160)
    stage = tub.surroundings().stage(ICE_BATH, 30, ICE_WATER_C)
    assert (stage.bath, stage.h_top, stage.stirred_every_min) == (True, 0, None)
    assert stage.h_side == stage.h_bottom == pytest.approx(1 / (1 / 200 + 0.0025 / 0.2))
    assert tub.surroundings("board").stage(ICE_BATH, 30, ICE_WATER_C).h_bottom == 0


def case_in(stage: Stage) -> Case:
    return Case(Slab(30), food_of({"water": 100}), 60.0, (stage,))


def ends(stage: Stage) -> tuple[Stage, Stage]:
    slow, fast = (at_point(case_in(stage), point).stages[0] for point in (SLOW, FAST))
    return slow, fast


def test_a_bath_is_warmer_at_the_slow_end_never_freezes_and_is_open_at_the_fast_end_only() -> None:
    slow, fast = ends(Vessel("pot", 100, diameter_mm=200).surroundings().stage(ICE_BATH, 30, ICE_WATER_C))
    assert (slow.ambient_c, slow.h_top) == (1.5, 0)
    assert (fast.ambient_c, fast.h_top) == (0.0, BATH_TOP_FAST)
    assert slow.h_side < fast.h_side
    lidded = Vessel("pot", 100, diameter_mm=200, lid=True).surroundings().stage(ICE_BATH, 30, ICE_WATER_C)
    assert ends(lidded)[1].h_top == 0


def test_how_much_passes_a_vessels_lid_was_never_measured_so_nothing_does_at_the_slow_end() -> None:
    stage = Vessel("pot", 100, diameter_mm=200, lid=True).surroundings().stage("still", 30, 3)
    slow, fast = ends(stage)
    assert stage.h_top == pytest.approx(1 / (1 / 8 + 1 / 7))
    assert slow.h_top == 0
    assert fast.h_top == pytest.approx(1.3 * stage.h_top)
    covered = stage_in("still", 30, 3, covered=True)
    assert ends(covered)[0].h_top == pytest.approx(0.7 * covered.h_top)
