"""The one sentence about allergies above a table: nothing is called free that is not known to be."""

import pytest

from catalog.pantry.declarations import Serves
from orders.documents.content import DishAnswer, NeedServed
from orders.quotes.draft.allergy_presenters import AllergiesShown, allergies_shown

CONTAINS, MAY, OPEN, FREE = Serves.CONTAINS, Serves.MAY_CONTAIN, Serves.NOT_CHECKED, Serves.FREE
NAMES = ("Almond squares", "Lemon tartlet", "Custard tartlet", "Hazelnut cake", "Orange custard", "Coconut cream")


def need(code: str, *answers: Serves) -> NeedServed:
    dishes = tuple(DishAnswer(name, str(one)) for name, one in zip(NAMES, answers, strict=False))
    return NeedServed(code, None, dishes)


def sentence(*needs: NeedServed) -> str:
    shown = allergies_shown(needs)
    assert shown is not None
    return shown.sentence


def test_two_allergies_are_one_sentence() -> None:
    eggs = need("eggs", CONTAINS, CONTAINS, CONTAINS, FREE, CONTAINS, FREE)
    milk = need("milk", FREE, FREE, FREE, CONTAINS, FREE, FREE)
    assert sentence(eggs, milk) == "5 of 6 contain eggs or milk; Coconut cream is free of both."


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        ((FREE, FREE), "All 2 are free of eggs."),
        ((FREE,), "It is free of eggs."),
        ((CONTAINS, CONTAINS), "All 2 contain eggs."),
        ((CONTAINS, FREE), "1 of 2 contains eggs; Lemon tartlet is free of it."),
        ((CONTAINS, MAY), "1 of 2 contains eggs, 1 may contain it; none is known to be free of it."),
        ((MAY, FREE), "1 of 2 may contain eggs; Lemon tartlet is free of it."),
        ((OPEN, FREE), "1 of 2 is not checked for eggs; Lemon tartlet is free of it."),
        (
            (CONTAINS, MAY, OPEN, FREE),
            "1 of 4 contains eggs, 1 may contain it, 1 is not checked for it; Hazelnut cake is free of it.",
        ),
        ((CONTAINS, FREE, FREE, FREE), "1 of 4 contains eggs; 3 are free of it."),
        ((OPEN, OPEN), "2 of 2 are not checked for eggs; none is known to be free of it."),
    ],
)
def test_each_answer_has_its_words(answers: tuple[Serves, ...], expected: str) -> None:
    assert sentence(need("eggs", *answers)) == expected


def test_the_worst_answer_of_a_product_counts() -> None:
    assert "free of both" not in sentence(need("eggs", FREE, CONTAINS), need("milk", OPEN, FREE)).replace(
        "none is known to be free of both", ""
    )


def test_a_diet_is_named_with_what_suits_it() -> None:
    assert sentence(need("vegan", CONTAINS, OPEN, FREE)) == "Vegan: 1 of 3 suitable (Custard tartlet)."
    assert sentence(need("vegan", CONTAINS, OPEN)) == "Vegan: none of these is known to be suitable."
    assert sentence(need("eggs", FREE), need("vegan", FREE)) == "It is free of eggs. Vegan: everything is suitable."


def test_it_is_met_only_where_every_product_serves_every_guest() -> None:
    assert allergies_shown([need("eggs", FREE), need("vegan", FREE)]) == AllergiesShown(
        "It is free of eggs. Vegan: everything is suitable.", True
    )
    for worse in (CONTAINS, MAY, OPEN):
        shown = allergies_shown([need("eggs", FREE, worse)])
        assert shown is not None
        assert not shown.met


def test_without_needs_or_products_nothing_is_claimed() -> None:
    assert allergies_shown([]) is None
    assert allergies_shown([need("eggs")]) is None
