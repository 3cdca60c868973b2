"""Ten cases of cooling against answers computed apart from this project by two methods (see the data file's meta).

The second half makes the model wrong on purpose, one fault at a time, and asks that the cases notice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from costing.chilling import answers, bodies, composition, conduction, places
from costing.chilling.conduction import Case, Modes, Timeline
from costing.chilling.food_codes import PROFILES
from costing.chilling.lobatto import NODES, Floats
from costing.chilling.profiles import AMBIENT, COLD_C, COOKED, HOT_C, LUKEWARM_C, Leg
from tests.published.chilling import CASES, answered, differences

Patch = pytest.MonkeyPatch


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_a_case_comes_out_as_the_independent_reference_has_it(case: dict[str, Any]) -> None:
    got = answered(case)
    assert differences(got, case["outputs"]) == []
    assert list(got) == list(case["outputs"])


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_times_lie_within_two_thousandths_and_temperatures_within_a_hundredth(case: dict[str, Any]) -> None:
    """Ten times closer than the tolerances, so that a loss of accuracy shows; the rim is another matter."""
    got, expected = answered(case), case["outputs"]
    for point, times in expected["minutes_to"].items():
        for limit, minutes in times.items():
            assert got["minutes_to"][point][limit] == (minutes and pytest.approx(minutes, rel=0.002))
    for key in ("centre_c", "core_c", "mean_c"):
        assert np.max(np.abs(np.subtract(got[key], expected[key]))) < 0.01


def cases_that_differ() -> list[str]:
    return [case["id"] for case in CASES if differences(answered(case), case["outputs"])]


def test_with_nothing_made_wrong_no_case_differs() -> None:
    assert cases_that_differ() == []


Films = Callable[[bodies.Stage, bodies.Direction], tuple[float, float]]


def films_with(change: Callable[[bodies.Stage], bodies.Stage]) -> Callable[[Patch], None]:
    right: Films = bodies.films
    return lambda patch: patch.setattr(conduction, "films", lambda stage, way: right(change(stage), way))


def only_modes(count: int) -> Callable[[Patch], None]:
    right = conduction.modes_of

    def few(cases: Sequence[Case]) -> Modes:
        modes = right(cases)
        return replace(modes, rates=np.where(np.arange(NODES) < count, modes.rates, 1e9))

    return lambda patch: patch.setattr(conduction, "modes_of", few)


def middle_is_core(patch: Patch) -> None:
    def middle(line: Floats) -> tuple[Floats, Floats]:
        return line[places.MIDDLE], np.full(line.shape[1], 0.5)

    patch.setattr(places, "warmest", middle)


def stages_forgotten(patch: Patch) -> None:
    def last_only(cases: Sequence[Case]) -> Timeline:
        return Timeline([replace(case, stages=tuple(_last_air(case.stages))) for case in cases])

    patch.setattr(answers, "Timeline", last_only)


def _last_air(stages: Sequence[bodies.Stage]) -> list[bodies.Stage]:
    return [replace(stages[-1], minutes=stage.minutes) for stage in stages]


def jumps_forgotten(patch: Patch) -> None:
    """The products of earlier stages are dropped when the air changes."""
    patch.setattr(conduction, "_carried", lambda parts, decays, across: np.zeros_like(parts))


def diameter_as_radius(patch: Patch) -> None:
    wide = property(lambda self: (bodies.Direction("radial", self.diameter_mm),))
    patch.setattr(bodies.Cylinder, "sideways", wide)


def coefficient(component: str, quantity: str, at: int, value: float) -> Callable[[Patch], None]:
    right = composition.COMPONENTS[component][quantity]
    wrong = (*right[:at], value, *right[at + 1 :])
    return lambda patch: patch.setitem(composition.COMPONENTS[component], quantity, wrong)


def conductivity_in_series(patch: Patch) -> None:
    def series(fractions: dict[str, float], at_c: float) -> float:
        volumes = {name: share / composition.component(name, "rho", at_c) for name, share in fractions.items()}
        resists = sum(volume / composition.component(name, "k", at_c) for name, volume in volumes.items())
        return sum(volumes.values()) / resists

    patch.setattr(composition, "parallel_conductivity", series)


def conductivity_by_mass(patch: Patch) -> None:
    def by_mass(fractions: dict[str, float], at_c: float) -> float:
        return sum(share * composition.component(name, "k", at_c) for name, share in fractions.items())

    patch.setattr(composition, "parallel_conductivity", by_mass)


def legs(code: str, *wrong: Leg) -> Callable[[Patch], None]:
    return lambda patch: patch.setitem(PROFILES, code, replace(PROFILES[code], legs=wrong))


FAULTS: dict[str, Callable[[Patch], None]] = {
    "top and bottom films change places": films_with(lambda s: replace(s, h_top=s.h_bottom, h_bottom=s.h_top)),
    "the base is always insulated": films_with(lambda s: replace(s, h_bottom=0.0)),
    "the base cools like the top": films_with(lambda s: replace(s, h_bottom=s.h_top)),
    "the side lets nothing through": films_with(lambda s: replace(s, h_side=0.0)),
    "the centre stands for the core": middle_is_core,
    "the last stage's air holds from the start": stages_forgotten,
    "a change of air forgets what was before": jumps_forgotten,
    "the diameter is taken for the radius": diameter_as_radius,
    "only the first mode": only_modes(1),
    "only two modes": only_modes(2),
    "water's specific heat as misprinted": coefficient("water", "cp", 0, 4.1289),
    "fat's conductivity falls ten times as steeply": coefficient("fat", "k", 1, -2.7604e-3),
    "fat's conductivity rises": coefficient("fat", "k", 1, 2.7604e-3),
    "conductivity in series": conductivity_in_series,
    "conductivity by mass": conductivity_by_mass,
    "air makes no difference to conductivity": lambda patch: patch.setattr(
        composition, "with_bubbles", lambda solid, air: solid
    ),
    "six hours from 70 °F": legs(COOKED, Leg(HOT_C, LUKEWARM_C, 120), Leg(LUKEWARM_C, COLD_C, 360)),
    "six hours from minute 0": legs(COOKED, Leg(None, LUKEWARM_C, 120), Leg(None, COLD_C, 360)),
    "two hours are three": legs(COOKED, Leg(HOT_C, LUKEWARM_C, 180), Leg(HOT_C, COLD_C, 360)),
    "clause B is given six hours": legs(AMBIENT, Leg(None, COLD_C, 360)),
}


@pytest.fixture
def _places_found_anew() -> Iterator[None]:
    """Forget the places of bodies before a fault is made and after it: those found with it are not for other tests."""
    cached = [one for one in vars(places).values() if hasattr(one, "cache_clear")]
    for one in cached:
        one.cache_clear()
    yield
    for one in cached:
        one.cache_clear()


@pytest.mark.usefixtures("_places_found_anew")
@pytest.mark.parametrize("fault", FAULTS)
def test_the_cases_notice_a_fault(fault: str, monkeypatch: pytest.MonkeyPatch) -> None:
    FAULTS[fault](monkeypatch)
    assert cases_that_differ(), f"no case notices: {fault}"


def test_swapped_films_show_in_the_height_of_the_core(monkeypatch: pytest.MonkeyPatch) -> None:
    """They change no temperature at centre or core by much; only the height tells them apart."""
    FAULTS["top and bottom films change places"](monkeypatch)
    case = next(case for case in CASES if case["id"] == "O02")
    assert all("height" in one for one in differences(answered(case), case["outputs"]) if "warm_up" not in one)
    assert any("height" in one for one in differences(answered(case), case["outputs"]))
