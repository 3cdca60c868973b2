"""What lifts a mark or a block is written in real words."""

import pytest

from orders.records.real_words import names_somebody, says_measuring, says_served, says_something


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
        "nothing measured",
        "will not be measured",
        "no time to measure it",
        "No time to probe it at 2 h",
        "Not measured at 2 h",
        "Wird nicht gemessen, 2 h",
        "keine Zeit, Sonde fehlt",
        "Ne sera pas mesuré à 2 h",
        "ask Tomas",
        "It will be fine",
        "Two tubs, each measured by Tomas",
        "probe broken but it looks cold",
        "Probe lost; looks fine at 2 h",
        "By feel, at 2 h",
        "It feels cold at 41 °F",
        "Tomas eyeballs it at 2 h",
        "Without a probe, 2 h in the cold",
        "Not needed: 6 h in the cold",
        "Hand instead of a probe at 2 h",
        "Probe it",
        "Core temperature, by Tomas",
        "Sonde kaputt, nach 2 h kalt",
        "Ohne Sonde, 2 h im Kühlraum",
        "Fühlt sich nach 2 h kalt an",
        "Sonde en panne, froid à 2 h",
        "Au toucher, à 2 h",
    ],
)
def test_what_names_nothing_that_is_measured(text: str) -> None:
    assert not says_measuring(text)


@pytest.mark.parametrize(
    "text",
    [
        "Probe at 2 h and 6 h; ice bath if above 70 °F at 2 h",
        "Probe each hour",
        "Probe the core of 3 pieces",
        "Probe at 2 h; if it is not below 70 °F, probe again or throw it away",
        "Below 41 °F by noon, else thrown away",
        "Kerntemperatur nach 2 Stunden",
        "À la sonde après 2 heures",
        "In two tubs; Tomas measures each at 2 h and 6 h",
    ],
)
def test_what_names_what_is_measured(text: str) -> None:
    assert says_measuring(text)


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
