"""A need that names a group of foods: each kind of it holds it."""

import pytest

from catalog.pantry.other_foods import family_of
from catalog.pantry.other_needs import names_with, other_code


@pytest.mark.parametrize(
    "name",
    [
        "Almond and raspberry cake",
        "Blueberries",
        "Strawberry puree",
        "Dried cranberries",
        "Red currant jelly",
        "Himbeeren",
    ],
)
def test_a_kind_of_berry_holds_berries(name: str) -> None:
    assert names_with(other_code("berries"), [(name, name)])
    assert names_with(other_code("All berries"), [(name, name)])


@pytest.mark.parametrize("name", ["Quince square", "Walnut sponge cake", "Raisins"])
def test_other_fruit_does_not(name: str) -> None:
    assert not names_with(other_code("berries"), [(name, name)])


def test_one_kind_stays_a_need_of_its_own() -> None:
    assert [family_of(one) for one in ("raspberries", "berry", "goji berries")] == ["raspberries", "berries", ""]
    assert not names_with(other_code("raspberries"), [("Blueberries", "Blueberries")])
