"""What stands where somebody signs: the name on record, another plain name, or more."""

import pytest

from orders.approvals.signed_names import Signed, names_need, signed_with


@pytest.mark.parametrize(
    ("signed", "recorded"),
    [
        ("Hedda Lund", "Hedda Lund"),
        ("HEDDA LUND", "Hedda Lund"),
        ("hedda lund", "Hedda Lund"),
        ("Lund Hedda", "Hedda Lund"),
        ("मीरा जोशी", "मीरा जोशी"),
        ("Ida", "Ida Corven"),
        ("Smith & Sons, 2nd floor", "Smith & Sons, 2nd floor"),
        ("Basil Olive", "Rosemary Olive Basil"),
    ],
)
def test_the_name_on_record(signed: str, recorded: str) -> None:
    assert signed_with(signed, recorded) is Signed.ON_RECORD


@pytest.mark.parametrize(
    ("signed", "recorded"),
    [
        ("Jonas Fenwick", "Ida Fenwick"),
        ("Anne-Marie O'Dowd", "Ida Corven"),
        ("J. P. Rowe Jr.", "Ida Corven"),
        ("Ludo van der Meer", "Ida Corven"),
        ("Ida and Jonas Fenwick", "Ida Corven"),
        ("María de la Cruz", "Ida Corven"),
        ("jonas corven", "Ida Corven"),
        ("JONAS CORVEN", "Ida Corven"),
        ("Zoe\u0308 Corven", "Ida Corven"),
        ("Jonas Almond", "Ida Almond"),
        # Needs in words that no list has: only who signed can tell.
        ("Brannoch Tull Utan Nötter", "Brannoch Tull"),
        ("Ove Bez Orzechów", "Ove Rask"),
    ],
)
def test_what_looks_like_a_name_and_is_not_on_record(signed: str, recorded: str) -> None:
    assert signed_with(signed, recorded) is Signed.NAME


@pytest.mark.parametrize(
    ("signed", "recorded"),
    [
        ("Hedda Lund, ingen jordnötter tack", "Hedda Lund"),
        ("Jana Kolb, bez arašídů", "Jana Kolb"),
        ("Edda Rowe मूंगफली नहीं", "Edda Rowe"),
        ("Isak Moe and please nothing with the pink stuff for Ada", "Isak Moe"),
        ("Finn Abel - Mia like last year!!", "Finn Abel"),
        ("Finn Abel!", "Finn Abel"),
        ("Finn Abel, Mia", "Finn Abel"),
        ("Finn Abel?", "Finn Abel"),
        ("Finn Abel 2", "Finn Abel"),
        ("Finn - Abel", "Finn Abel"),
        ("finn abel mia too", "Finn Abel"),
        ("no thanks", "Finn Abel"),
        ("INGEN JORDNÖTTER TACK", "Hedda Lund"),
        ("Finn and", "Finn Abel"),
        ("मीरा जोशी", "Mira Joshi"),
        ("Finn Abel Mia Not Like Last", "Finn Abel"),
        ("Emma Has A Peanut Allergy", "Finn Abel"),
        ("Bitte Ohne Nuss Fuer Oma", "Finn Abel"),
        ("Mamie Sans Noix", "Finn Abel"),
        ("Nonna Senza Latte", "Finn Abel"),
        ("Abuela Sin Huevo", "Finn Abel"),
        ("Oma Geen Noten", "Finn Abel"),
        ("Ada Kiwi", "Finn Abel"),
        ("Ada Vegan", "Finn Abel"),
        ("Her Throat Closes", "Finn Abel"),
        ("Same For Her Sister", "Finn Abel"),
        ("Finn Abel Almond", "Finn Abel"),
        # Names too; somebody reads them once.
        ("Maria del Carmen de la Cruz Ortiz", "Finn Abel"),
        ("Maria Anna Sofia Luisa Costa", "Finn Abel"),
        ("Rosemary Berry", "Finn Abel"),
        ("Basil Olive", "Finn Abel"),
    ],
)
def test_what_says_more_than_a_name(signed: str, recorded: str) -> None:
    assert signed_with(signed, recorded) is Signed.MORE


@pytest.mark.parametrize(
    "signed",
    [
        *("Mara Ilves & the 3 with zoeliakie", "Mara Ilves and 3 guests", "Mara Ilves (vegan)", "Mara Ilves kiwi"),
        *("Mara Ilves Kiwi", "Mara Ilves, Kiwi", "mara ilves kiwi", "Ida Vegan", "ida no nuts", "Ida No Nuts"),
        *("Mara Ilves for the two coeliacs", "Mara Ilves, drei G\u00e4ste", "Peter Olive, 2 guests", "3 Kiwi"),
        *("Emma Has A Peanut Allergy", "Bitte Ohne Nuss Fuer Oma", "Mamie Sans Noix", "Nonna Senza Latte"),
        *("Abuela Sin Huevo", "Oma Geen Noten", "Mara Ilves (sin gluten)", "Mara Ilves, celiaca", "Mara Ilves, Ei"),
        *("Mara Ilves senza glutine", "Mara Ilves c\u0153liaque", "Mara Ilves - N\u00fcsse!", "Mara Ilves halal"),
        *("Mara Ilves et 3 invit\u00e9s", "Mara Ilves y 2 personas", "Mara Ilves e 4 ospiti", "Mara Ilves nut free"),
        *("Mara Ilves fruits \u00e0 coque", "Mara Ilves, frutos secos", "Mara Ilves nussfrei", "Anna diabetic"),
    ],
)
def test_a_name_that_names_a_need_or_others_stops(signed: str) -> None:
    assert names_need(signed, "Mara Ilves")
    assert signed_with(signed, "Mara Ilves") is Signed.MORE


@pytest.mark.parametrize(
    "signed",
    [
        *("Anna Nutt", "Herr Weizs\u00e4cker", "Olive Barley", "Mr. Rye", "Ginger Egglestone", "Peter Pan & Co"),
        *("Almond Family", "The Almonds", "Almond", "Rosemary Berry", "Rosa Kirsch", "Anna and Tom Rye", "TOM RYE"),
        *("Mara & Tom Ilves", "Mara Ilves and Tom Rye", "Mr. and Mrs. Tom Rye", "Mara Rye", "Tom Rye 3rd"),
        *("Anita Jain", "Tariq Ramadan", "Celia Free", "Gianni Frei", "Zoltan Zoli", "Algernon Fish", "Elf Otto"),
        *("Dr. med. Anna Weiss", "Familie Weizen", "Jean-Luc Noix", "mara ilves"),
    ],
)
def test_a_name_that_is_a_food_stops_nothing(signed: str) -> None:
    assert not names_need(signed, "Mara Ilves")
