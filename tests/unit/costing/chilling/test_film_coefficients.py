"""A kitchen's words for air, molds and boxes."""

from __future__ import annotations

import pytest

from costing.chilling import AIRS, CARRIED, WALLS, Stage, away_stage
from costing.chilling.film_coefficients import BENEATH
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
