"""Names that overturn a "free": what is dried, set as a jelly, or made of grain; what only looks so is not asked."""

import pytest

from catalog.pantry.diets import GELATIN, facts_asked
from catalog.pantry.free_by import free_lost
from catalog.pantry.kind_words import foods_named


@pytest.mark.parametrize(
    ("before", "name", "code"),
    [
        ("Pears", "Pears, dried", "sulphites"),
        ("Apricots", "Dried Turkish apricots", "sulphites"),
        ("Cranberries", "Cranberries, dried", "sulphites"),
        ("Pears", "Pears with jelly", GELATIN),
        ("Pears", "Jellied pears", GELATIN),
        ("Coffee", "Roasted grain coffee", "wheat"),
        ("Coffee", "Multigrain coffee", "barley"),
    ],
)
def test_another_name_takes_back_what_it_overturns(before: str, name: str, code: str) -> None:
    assert free_lost(before=before, name=name, answers={code: "free"})
    assert code == "wheat" or not free_lost(before=before, name=before.upper(), answers={code: "free"})


@pytest.mark.parametrize(
    "name", ["Rice, long-grain", "Whole-grain mustard", "Grains of paradise", "Café en grains", "Thyme, dried", "Pears"]
)
def test_what_only_looks_so_is_not_asked(name: str) -> None:
    assert not {"gluten", "sulphites"} & set(foods_named(name))


def test_jelly_that_no_gelatin_sets_is_not_asked() -> None:
    assert [code for code, _ in facts_asked("Pear jelly")] == [GELATIN]
    for name in ("Royal jelly", "Vegan pear jelly", "Gel colors"):
        assert not list(facts_asked(name))
