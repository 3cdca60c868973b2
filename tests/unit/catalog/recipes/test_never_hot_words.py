"""A recipe that is marked as never hot is read strictly: what a cook writes for heat is found, in its notes too."""

from catalog.recipes.never_hot_words import heat_claimed_away
from tests.each import each


@each(
    "text",
    [
        "Sous vide 1 h",
        "Run the circulator an hour",
        "Nuke and whisk",
        "Reduce by half",
        "Torch the top",
        "Salamander 2 min",
        "Combi 30 min",
        "Pressure canner 20 min",
        "Give it the full 4 min on the gas",
        "Set over a pan of water and whisk",
        "Pan on, whisk till thick",
        "Pour over yolks from the kettle",
        "Thermomix, 8 min at speed 4",
        "82 for 10 sec",
        "Wand in the copper, until 85",
        "Take to rose stage",
        "Until just set, still trembling",
        "Low and slow till wobbly",
        "Until the whisk leaves a trail",
        "First blub, then off",
        "Roll it for one minute",
        "Let it tick over for 10 min",
        "Make the anglaise",
        "Make a pastry cream",
        "Cook to 181 F on the stove first",
        "Zur Rose abziehen",
        "Im Topf auf dem Herd",
        "Reduzieren",
        "Stocken lassen",
        "Faire réduire de moitié",
        "À la casserole",
        "Jusqu’à ce que ça prenne",
    ],
)
def test_these_speak_of_heat_in_the_name_and_in_the_note(text: str) -> None:
    assert heat_claimed_away(text, [], "F")
    assert heat_claimed_away("", [text], "F")


@each(
    "text",
    [
        "Stir together",
        "Whip pasteurized yolks, fold",
        "Cream, add eggs, bring together",
        "Rest in the cold",
        "Roll and line",
        "Chill until set",
        "Fold in the pastry cream",
        "Reduce the speed, add the sugar",
        "Never heated: instant starch",
        "No cooking: pasteurized yolks",
        "Set in a bowl of iced water",
        "Whip 8 min",
        "Fill 80 cups",
        "Divide over 90 glasses",
        "",
    ],
)
def test_these_do_not(text: str) -> None:
    assert [heat_claimed_away(text, [], degrees) for degrees in ("F", "C")] == ["", ""]


def test_what_goes_in_ready_made_may_be_named() -> None:
    assert heat_claimed_away("Make the custard filling", [], "F", ["Custard powder, cold"]) != ""
    assert heat_claimed_away("Make the curd swirl", [], "F", ["Lemon curd"]) == ""
