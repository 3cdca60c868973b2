"""A reason for "never hot" names what is used instead of cooking, and no cooking."""

from catalog.recipes.no_heat import names_what_instead, says_cooked
from tests.each import each

OF_RECIPE = ("Whole milk", "Egg yolks", "Corn starch")


@each(
    "reason",
    [
        "Pasteurized yolks and instant (cold-swelling) starch, by its packet",
        "Pasteurized yolks, and a starch that swells cold",
        "Cold-swelling starch instead of cooking",
        "Pregelatinized starch",
        "Bought ready made",
        "It goes in ready-made and cold",
        "Raw on purpose, the menu says so",
        "No heat: the yolk is cured in salt",
        "Kaltquellende Stärke, pasteurisiertes Eigelb",
        "Jaunes pasteurisés, amidon à froid",
        "Tuorli pastorizzati",
        "Yemas pasteurizadas",
        "Gepasteuriseerde dooiers",
    ],
)
def test_what_is_used_instead_is_taken(reason: str) -> None:
    assert names_what_instead(reason, OF_RECIPE)


@each(
    "reason",
    [
        "",
        "ok",
        "we cook it gently and cool it fast",
        "house way of doing it",
        "pasteurized milk, like always",
        "the milk is pasteurized",
        "bought eggs, whisked",
        "no heat at all here",
        "pasteurized yolks, boiled with the starch",
        "pasteurized yolks, warmed a little",
        "bought yolks, we cool it fast",
        "Wir kochen es sanft, pasteurisiertes Eigelb",
    ],
)
def test_what_names_nothing_or_cooks_is_not(reason: str) -> None:
    assert not names_what_instead(reason, OF_RECIPE)


def test_the_word_that_contradicts_is_named() -> None:
    assert says_cooked("we cook it gently") == "cook"
    assert says_cooked("pasteurized yolks, we cool it fast") == "cool"
    assert says_cooked("Pasteurized yolks, not cooked, without heating") == ""
