"""Which desserts serve a need: a sentence for a small table, lists for a long one."""

from orders.documents.content import DishAnswer, NeedServed
from orders.documents.need_words import need_shown

FREE = [DishAnswer(name, "free") for name in ("Plum cup", "Oat bar", "Pear tart")]
CAKE = DishAnswer("Walnut cake", "contains", ("walnuts",))
BAR = DishAnswer("Seed bar", "may", ("walnuts",))


def test_three_desserts_are_one_sentence() -> None:
    shown = need_shown(NeedServed("walnuts", 1, (CAKE, *FREE[:2])))
    assert shown.lists == ()
    assert shown.sentence.startswith("not for them: Walnut cake (contains walnuts). Free of it")


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
    assert shown.sentence.startswith("everything on this table is free of it")
