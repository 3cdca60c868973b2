"""Extras that are plainly food by their names, and things that are used beside food."""

import pytest

from orders.quotes.draft.food_names import plainly_food


@pytest.mark.parametrize(
    "name",
    [
        "Marzipan roses",
        "Sugar flowers",
        "Chocolate plaque",
        "Cookies for the children",
        "Macarons",
        "Raspberry sauce",
        "Whipped cream",
        "Fresh fruit",
        "Box of macarons",
        "Stand with macarons",
        "Edible gold leaf",
    ],
)
def test_what_is_eaten_is_recognized_by_its_name(name: str) -> None:
    assert plainly_food(name)


@pytest.mark.parametrize(
    "name",
    [
        "Cake stands",
        "Cake knife and server",
        "Hire of cake stands",
        "Cutting the cake",
        "Cream linen tablecloth",
        "Dessert table setup",
        "Flowers",
        "Late delivery",
        "Two glass domes",
        "Chocolate-brown ribbon",
    ],
)
def test_a_thing_beside_it_is_not(name: str) -> None:
    assert not plainly_food(name)
