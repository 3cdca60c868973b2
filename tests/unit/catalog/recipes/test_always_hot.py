"""What is made hot as a rule is found by what goes in."""

import pytest

from catalog.recipes.always_hot import made_hot


@pytest.mark.parametrize(
    ("names", "texts", "found"),
    [
        (["Heavy cream", "Gelatin powder"], [], "gelled"),
        (["Whole milk", "Gelatin, leaf"], [], "gelled"),
        (["Passion fruit juice", "Agar powder"], [], "gelled"),
        (["Mango purée", "Pectin"], [], "gelled"),
        (["Sahne", "Blattgelatine"], [], "gelled"),
        (["Panna", "Gelatina"], [], "gelled"),
        (["Water", "Gelatin powder"], [], None),
        (["Heavy cream", "Chocolate, dark"], [], "chocolate_cream"),
        (["Schlagsahne", "Zartbitterschokolade"], [], "chocolate_cream"),
        (["Heavy cream", "Chocolate shavings"], [], None),
        (["Cream cheese", "Chocolate, dark"], [], None),
        (["Granulated sugar", "Water"], ["Dissolve, then pour on the yolks"], "syrup"),
        (["Granulated sugar", "Water"], ["Stir"], None),
        (["Cream of tartar", "Gelatin powder"], [], None),
    ],
)
def test_by_the_names_of_what_goes_in(names: list[str], texts: list[str], found: str | None) -> None:
    assert made_hot(names, texts) == found
