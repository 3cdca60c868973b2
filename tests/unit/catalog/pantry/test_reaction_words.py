"""Words of a reaction are asked about, whatever food they name, and words that only look like them are not."""

import pytest

from catalog.pantry.note_needs import may_name_need, needs_in
from catalog.pantry.reaction_words import speaks_of_reaction


@pytest.mark.parametrize(
    "text",
    [
        "Our niece breaks out from anything with shrimp paste",
        "Lupin and mustard make Pia ill",
        "Rosa gets a rash from omelettes",
        "Lea carries an EpiPen",
        "After your tart my daughter's lips tingled.",
        "Ollie keels over if he has satay.",
        "It makes her tummy bad.",
        "She fainted after the nougat",
        "He throws up from it",
        "She was in hospital once",
        "Last time her tongue was itching",
        "Sie bekommt davon Ausschlag",
        "Ihm wird davon schlecht",
        "Ben hat ein Notfallset dabei",
        "Elle a des plaques rouges apr\u00e8s",
        "Il gonfle tout de suite",
        "My son is allergic to kiwi",
    ],
)
def test_a_reaction_is_noticed_with_or_without_a_food(text: str) -> None:
    assert speaks_of_reaction(text)
    assert may_name_need(text)


@pytest.mark.parametrize(
    "text",
    [
        "The delivery goes to the hospital on Elm Street.",
        "That would be swell!",
        "We are sick of chocolate cake, haha.",
        "Nobody is allergic to anything.",
        "Niemand ist allergisch.",
        "We moved the table to the barn.",
    ],
)
def test_other_words_are_none(text: str) -> None:
    assert not speaks_of_reaction(text)


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("Rosa gets a rash from omelettes", ["eggs"]),
        ("anything with shrimp paste", ["crustaceans"]),
        ("no belacan", ["crustaceans"]),
        ("no quiche", ["eggs"]),
    ],
)
def test_dishes_stand_for_what_they_are_made_of(text: str, needs: list[str]) -> None:
    assert list(needs_in(text)) == needs
