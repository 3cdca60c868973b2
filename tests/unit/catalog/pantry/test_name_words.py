"""Words of allergens in names and notes, however they are written."""

import pytest

from catalog.pantry.name_words import allergens_named
from catalog.pantry.note_needs import may_name_need, needs_in
from tests.each import each


@each(
    ("name", "codes"),
    [
        ("Peanut brittle", ("peanuts",)),
        ("Peanutbrittle crunch", ("peanuts",)),
        ("Erdnusscreme", ("peanuts",)),
        ("Erdnu\u00dfcreme", ("peanuts",)),
        ("Sesam", ("sesame",)),
        ("Tahini swirl", ("sesame",)),
        ("Noisette paste", ("hazelnuts",)),
        ("Cacahu\u00e8te shards", ("peanuts",)),
        ("N\u00fcsse", ("tree-nuts",)),
        ("Nuesse", ("tree-nuts",)),
        ("hazlenut", ("hazelnuts",)),
        ("shelfish", ("crustaceans",)),
        ("\u0430\u0440\u0430\u0445\u0438\u0441", ("peanuts",)),
        ("\u82b1\u751f", ("peanuts",)),
        *(
            (name, ())
            for name in (
                "Coconut milk",
                "Coconut set cream",
                "Cocoa butter",
                "Butternut",
                "Nutmeg",
                "Doughnut",
                "Buckwheat",
            )
        ),
        *((name, ()) for name in ("Eggplant", "Cream of tartar", "Custard", "Sugar, fine", "Almost", "Minutes")),
    ],
)
def test_a_word_counts_wherever_it_stands(name: str, codes: tuple[str, ...]) -> None:
    assert allergens_named(name) == codes


@pytest.mark.parametrize(
    ("note", "needs"),
    [
        ("coeliac x2", {"gluten": 2}),
        ("celiacs: 2", {"gluten": 2}),
        (
            "2 Z\u00f6liakie, 1 allergie au lait, 1 hazlenut",
            {"gluten": 2, "milk": 1, "hazelnuts": 1},
        ),
        ("erdnussallergie", {"peanuts": None}),
        ("one nutz", {"tree-nuts": 1}),
    ],
)
def test_a_note_is_read_in_other_languages_with_its_numbers(note: str, needs: dict[str, int | None]) -> None:
    assert needs_in(note) == needs
    assert may_name_need(note)
