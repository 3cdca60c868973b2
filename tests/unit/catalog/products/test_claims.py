"""Words that claim to be free of something, and words that deny it."""

import pytest

from catalog.pantry.declarations import FREE, MAY, declared, questions
from catalog.products.claims import claims_in
from catalog.products.kitchen_claims import kitchen_claims

ALL_FREE = dict.fromkeys(questions("us"), FREE)
PANTRY = [
    ("Hazelnut paste", declared(["hazelnuts"], {code: FREE for code in ALL_FREE if code != "hazelnuts"}, "us")),
    ("Chocolate", declared([], ALL_FREE | {"almonds": MAY}, "us")),
    ("Sugar", declared([], ALL_FREE, "us")),
]


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("Our kitchen is free of nuts.", ["tree-nuts"]),
        ("All we bake is free from tree nuts and peanuts.", ["tree-nuts", "peanuts"]),
        ("We use no milk, eggs or nuts.", ["milk", "eggs", "tree-nuts"]),
        ("We are a nut-free kitchen.", ["tree-nuts"]),
        ("Nut-, milk- and gluten-free.", ["tree-nuts", "milk", "gluten"]),
        ("Made with milk and gluten-free flour.", ["gluten"]),
        ("Suitable for coeliacs.", ["gluten"]),
        ("It is safe for celiacs.", ["gluten"]),
        ("We do not use hazelnuts.", ["hazelnuts"]),
        ("We don’t bake with rye.", ["rye"]),
        ("We never handle shellfish.", ["crustaceans"]),
        ("Nothing here contains nuts.", ["tree-nuts"]),
        ("There are no traces of sesame.", ["sesame"]),
        ("Without any known allergens.", ["allergens"]),
        ("We cannot promise much, but we are free of nuts.", ["tree-nuts"]),
        ("Made without peanuts. We cannot promise that anything is free of nuts.", ["peanuts"]),
    ],
)
def test_a_claim_is_found_with_all_it_names(text: str, needs: list[str]) -> None:
    assert [claim.need for claim in claims_in(text)] == needs


@pytest.mark.parametrize(
    "text",
    [
        "We cannot promise that anything is free of nuts.",
        "We can’t guarantee there are no nuts in it.",
        "Nothing we make is free of nuts.",
        "Our kitchen is not nut-free.",
        "No dessert is free from milk.",
        "Not suitable for coeliacs.",
        "We cannot promise that it is safe for celiacs.",
        "We bake with walnuts every day.",
        "Everything is made in one kitchen, so traces of other allergens are possible.",
    ],
)
def test_words_that_warn_are_no_claim(text: str) -> None:
    assert list(claims_in(text)) == []


def test_what_contains_it_may_contain_it_or_was_not_checked_is_named() -> None:
    (claim,) = kitchen_claims("We are free of nuts.", "us", [*PANTRY, ("Ribbon", declared([], {}, "us"))])
    assert claim.words == "free of nuts"
    assert (claim.contains, claim.may, claim.unchecked) == (("Hazelnut paste",), ("Chocolate",), ("Ribbon",))


def test_packaging_that_never_touches_the_food_is_no_matter() -> None:
    box = ("Box", declared([], {}, "us", touches=False))
    assert kitchen_claims("We are free of milk.", "us", [*PANTRY, box]) == ()
    assert kitchen_claims("Free of all allergens.", "us", [PANTRY[2], box]) == ()
    assert kitchen_claims("Free of all allergens.", "us", PANTRY)


def test_a_diet_says_nothing_of_traces() -> None:
    assert kitchen_claims("We make vegan cakes too.", "us", PANTRY) == ()
