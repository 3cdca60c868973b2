"""Names that may mean the same thing."""

import pytest

from catalog.records.near_names import near_names


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("unsalted butter", "Butter, unsalted"),
        ("Lemon", "lemons"),
        ("Creme fraiche", "Crème fraîche"),
        ("Corn starch", "Cornstarch"),
        ("Vanila extract", "Vanilla extract"),
        ("Strawberry", "Strawberries"),
        ("PLUM SQUARE", "Plum square"),
        ("Mandeln", "Mandel"),
        ("Jam of plums", "Plum jam"),
        ("Ida Fenwik", "Ida Fenwick"),
    ],
)
def test_other_order_number_case_accents_and_slips_are_near(one: str, other: str) -> None:
    assert near_names(one, [(1, "Cake box"), (2, other)]) == [(2, other)]
    assert near_names(other, [(3, one)]) == [(3, one)]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Butter, salted", "Butter, unsalted"),
        ("Plum tart, 20 cm", "Plum tart, 24 cm"),
        ("Salt", "Malt"),
        ("Whole milk", "Milk"),
        ("Egg yolks", "Egg whites"),
        ("Whipping cream", "Whipped cream"),
        ("", "Butter"),
        ("!!", "??"),
    ],
)
def test_what_is_something_else_is_not_near(one: str, other: str) -> None:
    assert near_names(one, [(1, other)]) == []


def test_no_more_than_asked_for_are_named() -> None:
    assert len(near_names("plum", [(number, "Plums") for number in range(9)], most=3)) == 3
