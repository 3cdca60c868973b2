"""Enumerations in claims, in six languages: each of its members is claimed."""

import pytest

from catalog.products.claims import claims_in
from tests.each import each

NUTS_MILK = ["tree-nuts", "milk"]
NUTS_EGGS_MILK = ["tree-nuts", "eggs", "milk"]


@each(
    ("text", "needs"),
    [
        ("nut-, coconut- and milk-free", NUTS_MILK),
        ("nut-, egg- and milk-free cakes", NUTS_EGGS_MILK),
        ("nut, egg and milk free", NUTS_EGGS_MILK),
        ("nut, egg, milk free", NUTS_EGGS_MILK),
        ("Our cake is nut, egg and milk free.", NUTS_EGGS_MILK),
        ("nut/egg/milk-free", NUTS_EGGS_MILK),
        ("nut & milk-free", NUTS_MILK),
        ("tree nut, egg and milk-free", NUTS_EGGS_MILK),
        ("nut- and egg-safe", ["tree-nuts", "eggs"]),
        ("free of nuts, coconut or milk", NUTS_MILK),
        ("free of nuts, coconut and milk", NUTS_MILK),
        ("Free from coconut, nuts and milk.", NUTS_MILK),
        ("Without nuts, coconut and milk.", NUTS_MILK),
        ("We do not use nuts, coconut and milk.", NUTS_MILK),
        ("Nuss-, Kokos- und milchfreie Torte", NUTS_MILK),
        ("Frei von Nüssen, Eiern oder Milch.", NUTS_EGGS_MILK),
        ("Ohne Nüsse, Kokos und Milch.", NUTS_MILK),
        ("Sans noix, noix de coco ou lait.", NUTS_MILK),
        ("sans noix, œufs ni lait", NUTS_EGGS_MILK),
        ("Sin nueces, coco ni leche.", NUTS_MILK),
        ("Libre de nueces, huevo y leche.", NUTS_EGGS_MILK),
        ("Senza noci, cocco o latte.", NUTS_MILK),
        ("Senza noci, uova e latte.", NUTS_EGGS_MILK),
        ("Zonder noten, eieren en melk.", NUTS_EGGS_MILK),
        ("noten-, kokos- en melkvrij", NUTS_MILK),
        ("Sem nozes, coco nem leite.", NUTS_MILK),
        ("Sem nozes, ovos e leite.", NUTS_EGGS_MILK),
    ],
)
def test_each_member_is_claimed_and_what_nobody_knows_keeps_the_list_together(text: str, needs: list[str]) -> None:
    assert [claim.need for claim in claims_in(text)] == needs


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("Made with milk, eggs and gluten-free flour.", ["gluten"]),
        ("Filled with walnuts, coconut and milk free cream", ["milk"]),
        ("Contains milk, nut free", ["tree-nuts"]),
        ("Milk chocolate, nut free", ["tree-nuts"]),
        ("Oats, milk and gluten-free flour", ["gluten"]),
        ("Without nuts, honey and milk chocolate.", ["tree-nuts"]),
        ("Ohne Nüsse, mit Milch.", ["tree-nuts"]),
        ("Sans noix, avec du lait.", ["tree-nuts"]),
        ("Free of nuts. Milk, eggs and butter.", ["tree-nuts"]),
    ],
)
def test_what_is_inside_is_not_claimed(text: str, needs: list[str]) -> None:
    assert [claim.need for claim in claims_in(text)] == needs


@pytest.mark.parametrize(
    "text",
    [
        "It is not nut, egg and milk free.",
        "We cannot promise that it is free of nuts, coconut or milk.",
        "Nicht frei von Nüssen, Eiern und Milch.",
        "Nothing here is free of nuts, coconut and milk.",
    ],
)
def test_a_list_that_is_denied_is_no_claim(text: str) -> None:
    assert list(claims_in(text)) == []


def test_the_words_of_a_claim_are_the_whole_list() -> None:
    assert {claim.words for claim in claims_in("Our nut-, coconut- and milk-free tart")} == {
        "nut-, coconut- and milk-free"
    }
