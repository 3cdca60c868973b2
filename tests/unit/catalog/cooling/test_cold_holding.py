"""Which holding texts say that a product is held cold. The texts are invented."""

import pytest

from catalog.cooling.cold_holding import holds_cold


@pytest.mark.parametrize(
    "text",
    [
        "Keep at 41 °F or colder.",
        "Keep at 5 °C (41 °F) or colder until it is set out; follow your local food code.",
        "Hold at 2–8 °C",
        "hold at 41F",
        "Keep below 8 degrees C.",
        "Bei höchstens 7 °C aufbewahren.",
        "At -18 °C until the day before.",
        "Refrigerate until serving.",
        "Keep chilled.",
        "Take it out of the refrigerator half an hour before it is served.",
        "Do not freeze. Keep in the fridge.",
        "At most 2 h out of the cold.",
    ],
)
def test_held_cold(text: str) -> None:
    assert holds_cold(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Keep dry, at room temperature.",
        "Do not refrigerate.",
        "Best at 20 °C (68 °F); no need to chill.",
        "Never in the refrigerator: it goes soft.",
        "Needn’t be refrigerated",
        "Warm it to 60 °C before serving",
        "Take them out of the box half an hour before they are served.",
        "Serves 5 Children or 8 Friends",
    ],
)
def test_not_held_cold(text: str) -> None:
    assert not holds_cold(text)
