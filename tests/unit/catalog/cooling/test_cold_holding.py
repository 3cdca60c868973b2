"""Which holding texts say that a product is held cold. The texts are invented."""

import pytest

from catalog.cooling.cold_holding import holds_cold, holds_hot


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
        "Out of the fridge for 2 h at most.",
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
        "Keep at room temperature, out of the fridge.",
        "Keep in its tin, away from the refrigerator.",
        "Protect it from cold.",
    ],
)
def test_not_held_cold(text: str) -> None:
    assert not holds_cold(text)


@pytest.mark.parametrize(
    "text",
    [
        "Gekühlt aufbewahren.",
        "Im Kühlschrank lagern.",
        "Garder au frais.",
        "À conserver au réfrigérateur",
        "Tenere in frigo.",
        "Conservar en frío.",
        "Gekoeld bewaren.",
        "Bei 5 Grad C lagern",
    ],
)
def test_other_languages_say_cold(text: str) -> None:
    assert holds_cold(text)


@pytest.mark.parametrize("text", ["Nicht kühlen.", "Ne pas réfrigérer.", "Mit dem Löffel servieren.", "Niet koelen."])
def test_other_languages_do_not_say_it(text: str) -> None:
    assert not holds_cold(text)


def test_a_temperature_at_which_it_is_held_hot_is_a_word_on_how_it_is_kept() -> None:
    assert holds_hot("Keep at 140 °F or hotter.")
    assert not holds_hot("Bake it again at 350 °F.")
