"""Names that may mean the same thing."""

import pytest

from catalog.records.near_names import NearIndex, near_names


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


@pytest.mark.parametrize(
    ("listed", "name"),
    [
        ("BUTTER UNSLTD AA", "Butter, unsalted"),
        ("LEMON JUICE 100%", "Lemon juice"),
        ("CREAM HVY 36%", "Heavy cream"),
        ("CHOC DARK 70", "Dark chocolate"),
        ("FLOUR 50", "Flour"),
        ("plm parfiat", None),
        ("Dune parfiat", "Dune parfait"),
        ("BUTTER SALTED", None),
        ("PEANUT BUTTER", None),
        ("Butter milk", "Buttermilk"),
        ("", None),
    ],
)
def test_a_name_as_suppliers_shorten_it_is_near_to_one_name(listed: str, name: str | None) -> None:
    index: NearIndex[str] = NearIndex()
    for one in ("Butter", "Butter, unsalted", "Lemon juice", "Heavy cream", "Dark chocolate", "Flour", "Dune parfait"):
        index.add(one, one)
    index.add("Buttermilk", "Buttermilk")
    assert index.find(listed) == name


def test_a_word_that_says_nothing_of_which_thing_it_is_keeps_no_name_apart() -> None:
    index: NearIndex[str] = NearIndex()
    for one in ("Lemon juice, fresh", "Lemon peel", "Cream, fresh", "Cream"):
        index.add(one, one)
    assert index.find("LEMON JUICE 100%") == "Lemon juice, fresh"
    assert index.find("CREAM FRESH 2L") == "Cream, fresh", "the name in full is nearer"
    assert index.find("ICE CREAM FRESH") is None
