"""Each need is counted alone, and a guest may have two: what suits both is named, or that nothing does."""

from orders.documents.content import DishAnswer, NeedServed
from orders.documents.short_need_words import needs_together

SEVERAL = "For a guest with all of these needs"


def need(code: str, *dishes: tuple[str, str]) -> NeedServed:
    return NeedServed(code, 1, tuple(DishAnswer(name, serves) for name, serves in dishes))


PEANUTS = need("peanuts", ("Tart", "free"), ("Cake", "free"), ("Bar", "contains"))
MILK = need("milk", ("Tart", "contains"), ("Cake", "free"), ("Bar", "free"))


def test_what_suits_both_is_named() -> None:
    assert needs_together([PEANUTS, MILK]) == f"{SEVERAL}: Cake."


def test_where_nothing_does_that_stands() -> None:
    eggs = need("eggs", ("Tart", "free"), ("Cake", "unchecked"), ("Bar", "free"))
    assert needs_together([PEANUTS, MILK, eggs]) == f"{SEVERAL}: nothing on this table is known to be suitable."


def test_a_name_counts_only_where_every_dish_of_it_suits_and_every_need_answers_it() -> None:
    twice = need("eggs", ("Cake", "free"), ("Cake", "may"))
    assert "nothing on this table" in needs_together([PEANUTS, twice])
    assert "nothing on this table" in needs_together([PEANUTS, need("eggs", ("Bar", "contains"))])


def test_one_need_and_needs_that_all_is_free_of_say_enough() -> None:
    assert needs_together([PEANUTS]) == ""
    assert needs_together([need("milk", ("Cake", "free")), need("eggs", ("Cake", "free"))]) == ""
