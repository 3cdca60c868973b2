"""Words of what somebody does not eat, whatever it is, of a feast, and of others who are as those before."""

import pytest

from catalog.pantry.avoid_words import goes_on, names_feast
from catalog.pantry.note_needs import may_name_need


@pytest.mark.parametrize(
    "text",
    [
        "it closes his throat",
        "she has a jab pen",
        "we ended in casualty",
        "He was in A&E",
        "she spent the night in the ER",
        "Mi hijo no puede comer ma\u00edz",
        "He avoids corn",
        "Il ne mange pas de ma\u00efs",
        "Er darf keinen Mais",
        "Lea isst keinen Mais",
        "goes blue from corn",
        "hypoallergenic formula",
        "no cinnamon for Rosa",
        "no cinnamon for my niece",
    ],
)
def test_what_somebody_does_not_eat_is_asked_about(text: str) -> None:
    assert may_name_need(text)


@pytest.mark.parametrize(
    "text",
    ["Please avoid the main road.", "No flowers for the table.", "No invoice for Rosa please.", "No, come at five."],
)
def test_what_is_not_eaten_anyway_is_not(text: str) -> None:
    assert not may_name_need(text)


@pytest.mark.parametrize("text", ["Rosh Hashanah lunch", "Iftar", "Diwali for the Raos", "Bar Mitzvah of Sam"])
def test_feasts_with_rules_for_eating_are_noticed(text: str) -> None:
    assert names_feast(text)
    assert not names_feast("Wedding of Ida and Jon")


@pytest.mark.parametrize(
    "text", ["And her sister too.", "Two more of the same as the bride please.", "ihre Tante auch"]
)
def test_others_who_are_as_those_before_are_noticed(text: str) -> None:
    assert goes_on(text)
    assert not goes_on("My sister will come too.")
    assert not goes_on("Two more of the same cake, please.")
