"""A food that somebody reacts to is found by what is told of the reaction, whether or not anybody knows the food."""

import pytest

from catalog.pantry.other_needs import other_words
from catalog.pantry.other_words import may_name_any_need, others_in


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("My other daughter's tongue itches with jackfruit.", {"jackfruit": 1}),
        ("Bo's throat closes up with tamarind", {"tamarind": None}),
        ("Bo's throat closes up when he eats tamarind", {"tamarind": 1}),
        ("Tom comes out in a rash after eating lychees", {"lychees": None}),
        ("Her lips swell from quince and lychee", {"quince": None, "lychee": None}),
        ("Jackfruit gives him hives", {"jackfruit": None}),
        ("Lychees close his throat", {"lychees": None}),
        ("Lychee = hives", {"lychee": None}),
        ("Saffron triggers her asthma", {"saffron": None}),
        ("If Ben eats quinoa he ends up in hospital", {"quinoa": 1}),
        ("Quinoa sends my uncle to hospital", {"quinoa": 1}),
        ("a bad reaction to saffron", {"saffron": None}),
        ("Ihr juckt der Mund bei Litschi", {"litschi": None}),
        ("Er bekommt von Litschi Ausschlag", {"litschi": None}),
        ("Ihr schwillt die Zunge an, wenn sie Litschi isst", {"litschi": None}),
        ("Sa langue gonfle avec le litchi", {"litchi": None}),
        ("Il a des plaques rouges quand il mange des litchis", {"litchis": None}),
    ],
)
def test_a_food_of_a_reaction_is_found(text: str, needs: dict[str, int | None]) -> None:
    assert {other_words(code).lower(): n for code, n in others_in(text, 100).items()} == needs
    assert may_name_any_need(text)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "My aunt came out in hives after the wedding",
            "She got ill after the party last week",
            "She is sick with flu",
        ),
        *(
            "Our photographer swells with pride",
            "I was ill from Monday to Friday",
            "Grandma is in hospital after a fall",
        ),
        *("We itch to come. The van comes out at nine with the tarts", "The sun burns in the barn from noon on"),
    ],
)
def test_what_nobody_eats_is_none(text: str) -> None:
    assert others_in(text, 100) == {}
