"""What mixtures consist of: nothing is lost but what is said to be."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import Mixture, MixtureError, Share, food_of, mixed
from costing.chilling.composition import COMPONENTS, MOST_AIR
from costing.chilling.mixtures import CODES

MILK = {"water": 88.0, "protein": 3.2, "fat": 3.5, "carb": 4.6, "ash": 0.7}
SUGAR = {"carb": 100.0}
CREAM = {"water": 58.0, "protein": 2.0, "fat": 36.0, "carb": 3.5, "ash": 0.5}

percents = st.fixed_dictionaries({name: st.floats(1, 100) for name in COMPONENTS})
shares = st.builds(Share, st.just("x"), st.floats(1, 5000), percents, st.floats(0, 0.7))


def masses(mixture: Mixture, grams: float) -> dict[str, float]:
    return {name: share * grams / 100 for name, share in mixture.percent.items()}


def put_in(some: list[Share]) -> dict[str, float]:
    whole = dict.fromkeys(COMPONENTS, 0.0)
    for share in some:
        parts = share.percent or {}
        for name, part in parts.items():
            whole[name] += share.grams * part / sum(parts.values())
    return whole


@settings(max_examples=60, deadline=None)
@given(st.lists(shares, min_size=1, max_size=5), st.floats(0, 1))
def test_drying_takes_water_and_nothing_else(some: list[Share], part: float) -> None:
    before = put_in(some)
    loss = part * before["water"] / sum(before.values())
    found = mixed(some, loss=loss)
    after = masses(found, found.grams)
    assert found.grams == pytest.approx(sum(share.grams for share in some) * (1 - loss))
    for name in set(COMPONENTS) - {"water"}:
        assert after[name] == pytest.approx(before[name], rel=1e-9)
    assert after["water"] == pytest.approx(before["water"] * (1 - part), rel=1e-6, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(shares, min_size=1, max_size=5), st.floats(0, 0.9))
def test_without_drying_a_mixture_is_the_mean_by_mass_whatever_is_trimmed(some: list[Share], loss: float) -> None:
    before = put_in(some)
    whole = sum(share.grams for share in some)
    for found in (mixed(some), mixed(some, loss=loss, loss_is_water=False)):
        for name, mass in before.items():
            assert found.percent[name] == pytest.approx(100 * mass / whole)
    assert mixed(some, loss=loss, loss_is_water=False).grams == pytest.approx(whole * (1 - loss))


@settings(max_examples=60, deadline=None)
@given(st.lists(shares, min_size=1, max_size=5))
def test_air_is_counted_by_volume(some: list[Share]) -> None:
    """The mixture fills the volume its parts fill."""
    found = mixed(some)
    apart = sum(share.grams / food_of(share.percent or {}, share.air).rho for share in some)
    assert found.grams / food_of(found.percent, found.air).rho == pytest.approx(apart)
    assert 0 <= found.air <= max(share.air for share in some) + 1e-12


@settings(max_examples=30, deadline=None)
@given(st.lists(shares, min_size=1, max_size=4), st.lists(shares, min_size=1, max_size=4))
def test_a_mixture_in_a_mixture_is_one_mixture(first: list[Share], second: list[Share]) -> None:
    inner = mixed(first)
    nested, flat = mixed([Share("inner", inner.grams, inner.percent, inner.air), *second]), mixed([*first, *second])
    assert nested.percent == pytest.approx(flat.percent)
    assert nested.air == pytest.approx(flat.air, abs=1e-9)


def test_a_custard_that_loses_a_tenth_gets_richer() -> None:
    """1000 g with 700 g of water lose 100 g: 600 g of 900 g are water, and sugar rises from 20 to 22.2%."""
    found = mixed([Share("custard", 1000, {"water": 70, "fat": 10, "carb": 20})], loss=0.1)
    assert found.percent["water"] == pytest.approx(100 * 600 / 900)
    assert found.percent["carb"] == pytest.approx(100 * 200 / 900)
    assert found.grams == pytest.approx(900)


def test_air_can_be_stated_and_counts_instead_of_that_of_the_parts() -> None:
    foam = Share("foam", 100, CREAM, 0.5)
    assert mixed([foam]).air == pytest.approx(0.5)
    assert mixed([foam], air=0.2).air == 0.2
    assert mixed([foam], air=0.0).air == 0.0


def test_what_is_not_known_is_left_out_and_reported() -> None:
    some = [
        Share("Milk", 800, MILK),
        Share("Salt", 1, None),
        Share("Vanilla", 2, {}),
        Share("Salt", 1, None),
        Share("Dust", 1, {"water": 0.0}),
        Share("Gold leaf", 0, None),
        Share("Sugar", 195, SUGAR),
    ]
    found = mixed(some)
    assert found.unknown == ("Salt", "Vanilla", "Dust")
    assert found.unknown_share == pytest.approx(5 / 1000)
    assert found.grams == 1000
    assert found.percent == pytest.approx(mixed([some[0], some[-1]]).percent)


def test_what_is_unknown_loses_as_much_as_the_rest() -> None:
    found = mixed([Share("Milk", 500, MILK), Share("Essence", 500, None)], loss=0.2)
    assert found.grams == pytest.approx(800)
    assert found.unknown_share == pytest.approx(0.5)
    assert found.percent == pytest.approx(mixed([Share("Milk", 500, MILK)], loss=0.2).percent)


def test_percentages_that_do_not_add_up_count_as_parts() -> None:
    assert mixed([Share("a", 10, {"water": 30, "fat": 10})]).percent["water"] == pytest.approx(75)


def wrong(code: str, some: list[Share], **more: float) -> str:
    with pytest.raises(MixtureError) as found:
        mixed(some, **more)  # type: ignore[arg-type]  # the numbers go where they belong
    assert found.value.code == code
    assert code in CODES
    assert str(found.value).endswith(".")
    return str(found.value)


def test_nobody_dries_out_more_than_there_is() -> None:
    sentence = wrong("loss", [Share("Syrup", 100, {"water": 30.8, "carb": 69.2})], loss=0.4)
    assert "at most 30%" in sentence
    assert "smaller loss" in sentence
    assert mixed([Share("Syrup", 100, {"water": 30, "carb": 70})], loss=0.3).percent["water"] == pytest.approx(0)


def test_an_impossible_mixture_is_reported() -> None:
    assert "Dust and Gold" in wrong("nothing_known", [Share("Dust", 1, None), Share("Gold", 1, None)])
    assert "this mixture" in wrong("nothing_known", [])
    milk = [Share("Milk", 1, MILK)]
    wrong("loss", milk, loss=1.0)
    wrong("loss", milk, loss=-0.1)
    wrong("air", milk, air=MOST_AIR + 0.01)
    wrong("air", [Share("Milk", 1, MILK, 0.9)])
    assert "Odd" in wrong("composition", [Share("Odd", 1, {"water": 50.0, "gold": 50.0})])
