"""Guests that a text adds to those who are known, and guests there are in all."""

import pytest

from catalog.pantry.more_words import need_numbers


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("Two more guests have a peanut allergy", {"peanuts": 2}),
        ("Another 3 coeliacs are coming", {"gluten": 3}),
        ("3 additional coeliacs", {"gluten": 3}),
        ("two further guests with egg allergy", {"eggs": 2}),
        ("Another coeliac guest is coming", {"gluten": 1}),
        ("There are two more guests coming. Both have a peanut allergy.", {"peanuts": 2}),
        ("Two more guests, 1 of them is coeliac", {"gluten": 1}),
        ("Two more guests: one peanut, one sesame", {"peanuts": 1, "sesame": 1}),
        ("noch zwei mit Erdnussallergie", {"peanuts": 2}),
        ("Zwei weitere G\u00e4ste haben eine Nussallergie", {"tree-nuts": 2}),
        ("Ein weiterer Gast hat Z\u00f6liakie", {"gluten": 1}),
        ("encore deux c\u0153liaques", {"gluten": 2}),
        ("Deux invit\u00e9s de plus sont c\u0153liaques", {"gluten": 2}),
        ("deux autres invit\u00e9s allergiques aux arachides", {"peanuts": 2}),
    ],
)
def test_what_is_added(text: str, needs: dict[str, int]) -> None:
    found = need_numbers(text, 80)
    assert {code: one.guests for code, one in found.items()} == needs
    assert all(one.more for one in found.values())


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("2 guests have a peanut allergy", {"peanuts": 2}),
        ("One more coeliac, so 3 in all", {"gluten": 3}),
        ("that makes 3 coeliacs now", {"gluten": 3}),
        ("no more than 2 coeliacs", {"gluten": 2}),
        ("we need 3 more weeks, two coeliacs", {"gluten": 2}),
        ("One more thing: my aunt can\u2019t eat walnuts", {"walnuts": 1}),
        ("Ten more tartlets, and my nephew has a nut allergy", {"tree-nuts": 1}),
        ("2 more gluten-free desserts", {"gluten": 2}),
    ],
)
def test_what_is_no_addition(text: str, needs: dict[str, int]) -> None:
    found = need_numbers(text, 80)
    assert {code: one.guests for code, one in found.items()} == needs
    assert not any(one.more for one in found.values())


def test_only_what_is_said_of_others_is_added() -> None:
    found = need_numbers("2 coeliacs as before and 2 more with a nut allergy", 80)
    assert [(code, one.guests, one.more) for code, one in found.items()] == [
        ("gluten", 2, False),
        ("tree-nuts", 2, True),
    ]
