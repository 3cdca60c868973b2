"""Needs that a note names in plain words, with the number before each."""

import pytest

from catalog.pantry.note_needs import may_name_need, needs_in
from tests.each import each


@each(
    ("note", "needs"),
    [
        ("2 coeliac, 1 peanut, 1 fish", {"gluten": 2, "peanuts": 1, "fish": 1}),
        ("Two guests cannot eat nuts, one no milk at all.", {"tree-nuts": 2, "milk": 1}),
        ("3 x vegan; one guest is allergic to sesame", {"vegan": 3, "sesame": 1}),
        ("A celiac child, lactose intolerant aunt", {"gluten": 1, "milk": 1}),
        ("Niece cannot eat eggs", {"eggs": 1}),
        ("Meine Tante vertr\u00e4gt keinen Senf", {"mustard": 1}),
        ("My sister and her kids are vegan", {"vegan": None}),
        ("Children with egg allergy", {"eggs": None}),
        ("2 filberts, 1 treenuts", {"hazelnuts": 2, "tree-nuts": 1}),
        ("no marzipan, frangipane or praline; gianduja", {"almonds": None, "tree-nuts": None, "hazelnuts": None}),
        ("shellfish and soy", {"crustaceans": None, "molluscs": None, "soybeans": None}),
        ("2 shellfish, 1 soy", {"crustaceans": 2, "molluscs": 2, "soybeans": 1}),
        ("Two guests: shelfish allergy", {"crustaceans": 2, "molluscs": 2}),
        ("1 shellfish and 2 oysters", {"crustaceans": 1, "molluscs": 2}),
        ("Eine Allergie gegen Meeresfrüchte", {"crustaceans": 1, "molluscs": 1}),
        ("allergique aux fruits de mer", {"crustaceans": None, "molluscs": None}),
        ("allergia ai frutti di mare", {"crustaceans": None, "molluscs": None}),
        ("alergia a los mariscos", {"crustaceans": None, "molluscs": None}),
        ("allergisch voor zeevruchten", {"crustaceans": None, "molluscs": None}),
        ("1 shrimp", {"crustaceans": 1}),
        ("2 people with egg allergy, 1 dairy", {"eggs": 2, "milk": 1}),
        ("1 brazil\u2011nut, 2 tree\u2013nuts, 1 wal\u00adnut", {"brazil-nuts": 1, "tree-nuts": 2, "walnuts": 1}),
        ("12 tree nuts, 1 walnut", {"tree-nuts": 12, "walnuts": 1}),
        ("deadly reaction to cashews in 2019", {"cashews": None}),
        ("90 cashews on the wall", {"cashews": None}),
        ("Opa is Z\u00f6li", {"gluten": 1}),
        ("Eine Nussallergie, zwei mit Z\u00f6liakie", {"tree-nuts": 1, "gluten": 2}),
        ("Deux intol\u00e9rants au lait et une allergie aux \u0153ufs", {"milk": 2, "eggs": 1}),
        ("tre celiaci, due allergie alle noci", {"gluten": 3, "tree-nuts": 2}),
        ("dos cel\u00edacos, una alergia al huevo", {"gluten": 2, "eggs": 1}),
        ("twee met melkallergie, drie zonder noten", {"milk": 2, "tree-nuts": 3}),
        ("ill due to nuts", {"tree-nuts": None}),
        ("keine Milch und kein H\u00fchnereiwei\u00df", {"milk": None, "eggs": None}),
        ("A guest carries a pen. Coconut and nutmeg are fine.", {}),
        ("", {}),
    ],
)
def test_needs_are_recognized_with_their_numbers(note: str, needs: dict[str, int | None]) -> None:
    assert needs_in(note, guests=80) == needs


@each(
    "text",
    [
        "my aunt can't eat walnuts",
        *("Mon oncle ne supporte pas le blé.", "Elle supporte mal le lait.", "Il ne digère pas la farine."),
        *("Oma verträgt leider keine Tomaten.", "Mia zia non tollera le fragole.", "Mi hijo no tolera la fresa."),
        *("Please no dary for table four.", "One guest is on a low FODMAP diet."),
        "Luc has to stay away from pignoli.",
        "My mother keeps off bread and pasta, doctor says.",
        "Please nothing with schlag, it ends at the hospital.",
        "Bitte f\u00fcr Oma ohne Topfen und Eiklar.",
        "My aunt can’t eat walnuts.",
        "One more thing: walnuts make my aunt ill.",
        "Is there any milk in the mousse?",
        "Two of us are coeliac.",
        "My son is allergic to kiwi.",
        "One guest carries an EpiPen.",
        "We need two vegan portions.",
        "Please no nuts.",
        "My son swells up when he has kiwi.",
        "His lips swell from mango.",
        "She reacts badly to strawberries.",
        "He had a reaction to something last year.",
        "My father went to hospital after a dessert like this.",
        "There was an anaphylactic shock once.",
        "My aunt cannot have kiwi.",
        "It makes him ill.",
        "We cannot have kiwi.",
        "Please no marzipan.",
        "My brother can't eat filberts.",
        "Is the tart glu\u200bten\u2011free?",
        "Are there nuts in it?",
        "Is the tart gluten free?",
        "1 walnut, 2 eggs",
        "Unser Onkel hat Zöliakie.",
        "Meine Tante ist allergisch.",
        "Ma tante est allergique aux noix.",
        "Mi tía es celíaca.",
        "Mia zia è celiaca.",
        "Bitte ohne Nüsse",
        "Mijn tante is allergisch.",
        "A minha tia é alérgica.",
    ],
)
def test_words_that_may_name_a_need_are_noticed(text: str) -> None:
    assert may_name_need(text)


@pytest.mark.parametrize(
    "text",
    [
        "Could we have it at five?",
        "Could we have ten more of the almond tartlets?",
        "Please the Walnut ring, large instead of the mousse.",
        "We love the butter cream. Could it be cream coloured?",
        "Ida wanted to approve this quote on its page.",
        "The address has changed: 4 Oak Mill Lane.",
        "Can you split the invoice? We cannot have the van in the yard.",
        "Please add milk chocolate for the children.",
        "The delivery goes to the hospital on Elm Street.",
        "That would be swell!",
        "We love the marzipan and the frangipane tart.",
        "We cannot have the tables before noon.",
        "Nutmeg Street, by the coconut palm",
    ],
)
def test_words_about_anything_else_are_not(text: str) -> None:
    assert not may_name_need(text, ["Walnut ring, large"])


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("GF for bride", {"gluten": None}),
        ("2 GF, DF x3 and an N/F cake", {"gluten": 2, "milk": 3, "tree-nuts": None}),
        ("DF/GF/NF", {"milk": None, "gluten": None, "tree-nuts": None}),
        ("my GF and I are coming", {}),
        ("pregnant: no raw egg", {"no-raw-egg": None}),
        ("2 guests no raw eggs, 1 vegan", {"no-raw-egg": 2, "vegan": 1}),
        ("keine rohen Eier bitte", {"no-raw-egg": None}),
        ("senza lattosio", {"milk": None}),
        ("vegitarian x3", {"vegetarian": 3}),
        ("plant based for 4", {"vegan": 4}),
        ("no booze in anything", {"no-alcohol": None}),
        ("no gelatin, alpha-gal", {"no-gelatin": None}),
        ("celiac x2", {"gluten": 2}),
        ("one guest allergic to almonds, her sister to pistachio", {"almonds": 1, "pistachios": 1}),
        ("allergique aux fruits à coque", {"tree-nuts": None}),
        ("no sesame or tahini", {"sesame": None}),
    ],
)
def test_notes_as_guests_write_them(text: str, needs: dict[str, int | None]) -> None:
    found = needs_in(text)
    assert {code: found.get(code) for code in needs} == needs
    assert found.keys() == needs.keys()


@pytest.mark.parametrize(
    "text",
    [
        "GF for bride",
        "alpha-gal",
        "senza lattosio",
        "no booze in anything",
        "recovering alcoholic at table 3",
        "a table of Jain guests",
        "one has PKU",
        "vegitarian x3",
        "buckwheat",
        "fructose",
        "an infant of 10 months",
        "no pork gelatine",
        "she is on chemo",
        "histamine",
    ],
)
def test_words_that_no_list_has_are_asked_about(text: str) -> None:
    assert may_name_need(text)


def test_words_of_the_day_are_no_needs() -> None:
    for text in (
        "my gf will call",
        "Tom's gf too",
        "the gf is late",
        "We love your lemon tart",
        "Could we come at noon?",
    ):
        assert not may_name_need(text), text


@pytest.mark.parametrize(
    ("note", "needs"),
    [("gf", {"gluten": None}), ("2 gf, 1 d/f", {"gluten": 2, "milk": 1}), ("Oma: nf", {"tree-nuts": None})],
)
def test_what_notes_shorten_counts_without_capitals_too(note: str, needs: dict[str, int | None]) -> None:
    assert needs_in(note) == needs
    assert may_name_need(note)


@pytest.mark.parametrize("text", ["p-nut all.ergy x2", "P nuts: allergic", "pnut allergy", "no pnuts"])
def test_a_shortened_peanut_is_no_other_nut(text: str) -> None:
    assert list(needs_in(text)) == ["peanuts"]
