"""Which desserts serve a need: a sentence for a small table, lists for a long one."""

import pytest

from orders.documents.content import DishAnswer, NeedServed
from orders.documents.need_words import need_shown

FREE = [DishAnswer(name, "free") for name in ("Plum cup", "Oat bar", "Pear tart")]
CAKE = DishAnswer("Walnut cake", "contains", ("walnuts",))
BAR = DishAnswer("Seed bar", "may", ("walnuts",))


def test_three_desserts_are_one_sentence() -> None:
    shown = need_shown(NeedServed("walnuts", 1, (CAKE, *FREE[:2])))
    assert shown.lists == ()
    assert shown.sentence.startswith("Not for them: Walnut cake (contains walnuts). Free of it")


def test_from_four_on_they_are_lists_with_what_they_cannot_have_first() -> None:
    shown = need_shown(NeedServed("walnuts", 1, (*FREE, CAKE, BAR)))
    bad, good = shown.lists
    assert (bad.heading, bad.dishes) == (
        "Not for them:",
        ("Walnut cake (contains walnuts)", "Seed bar (may contain walnuts)"),
    )
    assert (good.heading, good.dishes) == (
        "Free of it, by the suppliers' labels:",
        ("Plum cup", "Oat bar", "Pear tart"),
    )


def test_where_nothing_serves_the_list_says_so() -> None:
    every = tuple(DishAnswer(f"Cup {number}", "unchecked") for number in range(5))
    bad, good = need_shown(NeedServed("milk", None, every)).lists
    assert len(bad.dishes) == 5
    assert good.heading == "Nothing on this table is known to be free of it, by the suppliers' labels."
    assert good.dishes == ()


def test_a_long_table_that_serves_a_need_stays_one_short_sentence() -> None:
    shown = need_shown(NeedServed("milk", None, (*FREE, DishAnswer("Ice", "free"))))
    assert shown.lists == ()
    assert shown.sentence.startswith("Everything on this table is free of ")


@pytest.mark.parametrize(
    ("need", "guests", "title"),
    [
        ("gluten", 2, "2 guests cannot have gluten (celiac)"),
        ("fish", 1, "1 guest cannot have fish"),
        ("vegan", 1, "1 guest is vegan"),
        ("no-gelatin", 3, "3 guests eat no gelatin"),
        ("milk", None, "Some guests cannot have milk"),
    ],
)
def test_a_need_is_a_sentence_of_its_own(need: str, guests: int | None, title: str) -> None:
    assert need_shown(NeedServed(need, guests, (CAKE,))).title == title


def test_a_dessert_in_two_sizes_is_proposed_once_with_both() -> None:
    instead = ("Plum cake, 8 in", "Plum cake, 10 in", "Rice cream with quince, glass")
    shown = need_shown(NeedServed("milk", None, (CAKE,), instead))
    assert shown.instead == "Plum cake (8 in or 10 in) and Rice cream with quince, glass"


def test_an_extra_that_was_never_asked_of_diets_says_whom_to_ask() -> None:
    shown = need_shown(NeedServed("vegan", 1, (DishAnswer("Macarons", "unchecked"), FREE[0])))
    assert shown.sentence.startswith("Not for them: Macarons (ask us).")
