"""A guest's need in one sentence for the customer: by name, never more than the labels say."""

import pytest

from orders.documents.content import DishAnswer, NeedServed
from orders.documents.short_need_words import need_in_short

FREE = [DishAnswer(name, "free") for name in ("Plum cup", "Oat bar", "Pear tart, 9 in")]
CAKE = DishAnswer("Walnut cake", "contains", ("walnuts",))
FLAN = DishAnswer("Almond flan", "contains", ("almonds",))
BAR = DishAnswer("Seed bar", "may", ("walnuts",))
ICE = DishAnswer("Ice", "unchecked", ("walnuts",))
NUTS = "tree-nuts"


@pytest.mark.parametrize(
    ("need", "dishes", "sentence"),
    [
        (NUTS, FREE, "Every dessert is free of tree nuts, by the suppliers' labels."),
        ("vegan", FREE, "Every dessert is suitable."),
        (
            NUTS,
            [CAKE, FLAN, BAR, FREE[0]],
            "Not for them: Walnut cake (contains walnuts); Almond flan (contains almonds); Seed bar (may contain "
            "walnuts). Free of tree nuts, by the suppliers' labels: Plum cup.",
        ),
        (
            NUTS,
            [CAKE, ICE, FREE[2]],
            "Not for them: Walnut cake (contains walnuts); Ice (not checked yet). "
            "Free of tree nuts, by the suppliers' labels: Pear tart, 9 in.",
        ),
        (
            NUTS,
            [*FREE, BAR],
            "Not for them: Seed bar (may contain walnuts). "
            "The other 3 are free of tree nuts, by the suppliers' labels.",
        ),
        (
            NUTS,
            [CAKE, FLAN, BAR, ICE, CAKE, FREE[0], FREE[2]],
            "For them: only Plum cup; Pear tart, 9 in, free of tree nuts by the suppliers' labels.",
        ),
        (
            NUTS,
            [CAKE, DishAnswer("Walnut pie, 9 in", "contains", ("walnuts",)), FREE[0]],
            "Not for them: Walnut cake; Walnut pie, 9 in (each contains walnuts). "
            "Free of tree nuts, by the suppliers' labels: Plum cup.",
        ),
        (NUTS, [CAKE, FLAN, BAR, ICE, CAKE], "Nothing on this table is known to be free of tree nuts."),
        (
            NUTS,
            [CAKE, FLAN],
            "Not for them: Walnut cake (contains walnuts); Almond flan (contains almonds). "
            "Nothing on this table is known to be free of tree nuts.",
        ),
        (
            NUTS,
            [ICE],
            "Not for them: Ice (not checked yet). Nothing on this table is known to be free of tree nuts.",
        ),
        (
            "vegan",
            [DishAnswer("Macarons", "unchecked"), *FREE],
            "Not for them: Macarons (ask us). The other 3 are suitable.",
        ),
    ],
)
def test_a_need_is_one_short_sentence(need: str, dishes: list[DishAnswer], sentence: str) -> None:
    shown = need_in_short(NeedServed(need, 2, tuple(dishes)))
    assert shown.sentence == sentence
    assert shown.met == all(dish.serves == "free" for dish in dishes)


@pytest.mark.parametrize(
    ("need", "dishes", "sentence"),
    [
        (NUTS, FREE, "Every dessert and extra is free of tree nuts, by the suppliers' labels."),
        ("vegan", FREE, "Every dessert and extra is suitable."),
        (
            NUTS,
            [CAKE, FLAN, FREE[1]],
            "Not for them: Walnut cake (contains walnuts); Almond flan (contains almonds). "
            "Free of tree nuts, by the suppliers' labels: Oat bar.",
        ),
        (
            NUTS,
            [CAKE, FREE[1]],
            "Not for them: Walnut cake (contains walnuts). Free of tree nuts, by the suppliers' labels: Oat bar.",
        ),
    ],
)
def test_an_extra_is_no_dessert(need: str, dishes: list[DishAnswer], sentence: str) -> None:
    assert need_in_short(NeedServed(need, 2, tuple(dishes)), extras={"Oat bar"}).sentence == sentence
    without = need_in_short(NeedServed(need, 2, tuple(dishes)), extras={"Cake stand"}).sentence
    assert without == sentence.replace("desserts and extras", "desserts").replace("dessert and extra", "dessert")


def test_what_changed_since_it_was_sent_is_named() -> None:
    shown = need_in_short(NeedServed("walnuts", 1, (CAKE, *FREE)), {"Walnut cake"}, "Friday, May 1, 2026")
    assert shown.sentence.endswith(" Changed since Friday, May 1, 2026: Walnut cake.")


def test_something_else_is_proposed_where_nothing_serves() -> None:
    assert need_in_short(NeedServed("milk", 1, (CAKE,), ("Plum cup",))).instead == "Plum cup"
    assert need_in_short(NeedServed("milk", 1, (FREE[0],), ("Plum cup",))).instead == ""
