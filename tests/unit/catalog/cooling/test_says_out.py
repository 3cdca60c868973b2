"""Which texts on keeping say to keep something out of the cold, without an end."""

import pytest

from catalog.cooling.cold_holding import holds_cold, says_out


@pytest.mark.parametrize(
    "text",
    [
        "Leave it out all day.",
        "You can leave these out on the table.",
        "No need to keep it cold.",
        "They are happy outside the fridge.",
        "Doesn’t need a fridge.",
        "Keeps 5 days at room temperature.",
        "Lasts a week on the counter.",
        "Stable at room temperature.",
        "Keep refrigerated or leave out all day.",
        "Refrigeration not required.",
        "You need not refrigerate it.",
        "Put it out the night before.",
        "Keep at 70 °F.",
        "Store at 20 °C.",
        "It may stand overnight.",
        "Nicht kühlen.",
        "Den ganzen Tag auf dem Buffet.",
        "Chilling is not needed.",
        "Kühl stellen ist nicht nötig.",
        "Out of the fridge it is fine for the weekend.",
        "Keep refrigerated. On display until the dancing ends.",
    ],
)
def test_out_of_the_cold(text: str) -> None:
    assert says_out(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Keep out of the sun.",
        "Leave it out of the sun.",
        "Do not leave it out all day.",
        "Never store at room temperature.",
        "Take it out 1 h before serving.",
        "Serve at room temperature within 2 h.",
        "Best at room temperature.",
        "Keep refrigerated. Not in the freezer.",
        "Chill overnight, then serve.",
        "Keep cold all day.",
        "Keep at 41 °F or colder until it is set out.",
        "Keep at 5 °C (41 °F) or colder.",
        "Keep hot at 140 °F.",
        "At most 2 h out of the fridge.",
        "Serve with a spoon.",
        "Keep refrigerated and do not freeze.",
        "Keep chilled; freezing is not needed.",
        "Keep refrigerated over the weekend.",
    ],
)
def test_cold_or_with_an_end(text: str) -> None:
    assert not says_out(text)


@pytest.mark.parametrize(
    "text",
    ["Chilling is not needed.", "Kühl stellen ist nicht nötig.", "Refrigeration optional."],
)
def test_what_says_that_the_cold_is_not_needed_holds_nothing_cold(text: str) -> None:
    assert not holds_cold(text)


@pytest.mark.parametrize(
    "text", ["Keep refrigerated and do not freeze.", "Chill, and take out 1 h before.", "Kühl lagern.", "Keep cold."]
)
def test_what_says_cold_holds_cold(text: str) -> None:
    assert holds_cold(text)
