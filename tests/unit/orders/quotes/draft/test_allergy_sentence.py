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


def test_two_allergies_are_a_sentence_each() -> None:
    eggs = need("eggs", CONTAINS, CONTAINS, CONTAINS, FREE, CONTAINS, FREE)
    milk = need("milk", FREE, FREE, FREE, CONTAINS, FREE, FREE)
    assert sentence(eggs, milk) == (
        "Eggs: Almond squares, Lemon tartlet, Custard tartlet and 1 more contain it; Hazelnut cake and Coconut cream "
        "are free of it. Milk: Hazelnut cake contains it; Almond squares, Lemon tartlet, Custard tartlet and 2 more "
        "are free of it."
    )


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        ((FREE, FREE), "Eggs: all 2 are free of it."),
        ((FREE,), "Eggs: Almond squares is free of it."),
        ((CONTAINS, CONTAINS), "Eggs: all 2 contain it."),
        ((CONTAINS, FREE), "Eggs: Almond squares contains it; Lemon tartlet is free of it."),
        (
            (CONTAINS, MAY),
            "Eggs: Almond squares contains it; Lemon tartlet may contain it; none is known to be free of it.",
        ),
        ((MAY, FREE), "Eggs: Almond squares may contain it; Lemon tartlet is free of it."),
        ((OPEN, FREE), "Eggs: Almond squares is not checked; Lemon tartlet is free of it."),
        (
            (CONTAINS, MAY, OPEN, FREE),
            "Eggs: Almond squares contains it; Lemon tartlet may contain it; Custard tartlet is not checked; Hazelnut "
            "cake is free of it.",
        ),
        (
            (CONTAINS, FREE, FREE, FREE),
            "Eggs: Almond squares contains it; Lemon tartlet, Custard tartlet and Hazelnut cake are free of it.",
        ),
        ((OPEN, OPEN), "Eggs: Almond squares and Lemon tartlet are not checked; none is known to be free of it."),
    ],
)
def test_each_answer_has_its_words(answers: tuple[Serves, ...], expected: str) -> None:
    assert sentence(need("eggs", *answers)) == expected


def test_what_one_need_is_free_of_is_not_free_of_the_other() -> None:
    assert sentence(need("eggs", FREE, CONTAINS), need("milk", OPEN, FREE)) == (
        "Eggs: Lemon tartlet contains it; Almond squares is free of it. "
        "Milk: Almond squares is not checked; Lemon tartlet is free of it."
    )


def test_a_diet_is_named_with_what_suits_it() -> None:
    assert sentence(need("vegan", CONTAINS, OPEN, FREE)) == (
        "Vegan: Custard tartlet is suitable; Almond squares is not suitable; Lemon tartlet is not known to be suitable."
    )
    assert sentence(need("vegan", CONTAINS, OPEN)) == (
        "Vegan: Almond squares is not suitable; Lemon tartlet is not known to be suitable."
    )
    assert sentence(need("vegan", OPEN, OPEN)) == "Vegan: none of these is known to be suitable."
    assert (
        sentence(need("eggs", FREE), need("vegan", FREE))
        == "Eggs: Almond squares is free of it. Vegan: everything is suitable."
    )


def test_it_is_met_only_where_every_product_serves_every_guest() -> None:
    assert allergies_shown([need("eggs", FREE), need("vegan", FREE)]) == AllergiesShown(
        "Eggs: Almond squares is free of it. Vegan: everything is suitable.", 0, 0
    )
    for worse in (CONTAINS, MAY, OPEN):
        shown = allergies_shown([need("eggs", FREE, worse)])
        assert shown is not None
        assert (shown.met, shown.unmet, shown.unserved) == (False, 1, 0)
        alone = allergies_shown([need("eggs", worse)])
        assert alone is not None
        assert (alone.unmet, alone.unserved) == (1, 1)


def test_without_needs_or_products_nothing_is_claimed() -> None:
    assert allergies_shown([]) is None
    assert allergies_shown([need("eggs")]) is None
