"""What lifts a mark or a block is written in real words."""

import pytest

from catalog.records.real_words import says_something
from orders.records.real_words import names_somebody, says_served


@pytest.mark.parametrize("text", ["", ".", "n/a", "-", "none", "nobody", "no one", "none none", "ok", "12 345", "a b"])
def test_what_says_nothing(text: str) -> None:
    assert not says_something(text)


@pytest.mark.parametrize("text", ["Thrown away", "Discarded", "Core at 39 °F", "Frisch gemacht", "Brûlées à part"])
def test_what_says_something(text: str) -> None:
    assert says_something(text)


@pytest.mark.parametrize(("name", "somebody"), [("Jo", True), ("Ida Marsh", True), ("J", False), ("n/a", False)])
def test_a_name_is_a_word(name: str, somebody: bool) -> None:
    assert names_somebody(name) is somebody


@pytest.mark.parametrize(
    "name", [".", "-", "none", "Nobody", "No one", "Somebody", "anyone", "N.N.", "ask", "jemand", "quelqu’un", "Nadie"]
)
def test_nobody_is_not_a_name(name: str) -> None:
    assert not names_somebody(name)


@pytest.mark.parametrize(
    "text",
    [
        "she knows",
        "She knows about it",
        "they are happy",
        "he took it anyway",
        "customer informed",
        "sie weiß Bescheid",
    ],
)
def test_what_names_nothing_that_is_served_instead(text: str) -> None:
    assert not says_served(text)


@pytest.mark.parametrize(
    "text",
    [
        "Squares instead of the tarts",
        "Plain sponge",
        "Nothing, the customer knows",
        "none, she knows",
        "Zitronentarte statt der Torte",
    ],
)
def test_what_names_what_is_served_instead(text: str) -> None:
    assert says_served(text)
