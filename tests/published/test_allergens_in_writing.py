"""What has to be given in writing about allergens in food made to order, against what each text was read to say.

How each was seen stands beside it. The findings are written out here, apart from the product's table.
"""

import pytest

from catalog.kitchen.duties import ALLERGEN_DUTIES, again_with_delivery, allergen_duties
from catalog.kitchen.duty_presenters import ALLERGEN_SOURCES, allergen_notice, duties_shown
from catalog.kitchen.models import Kitchen

#: code: whether it is owed, in what form, by when, what the text is, how it was read.
TEXTS = {
    # Connecticut legislative report 2008-R-0399 on FALCPA: food in a wrapper or box in response to a customer's order
    # is outside the labeling duty (another's account).
    "us": (False, "none", "never", "law", "secondary"),
    # Food Code 2022, 3-602.12(C): written notice of major allergens in unpackaged food, where adopted (press reports;
    # Colorado's 6 CCR 1010-2 adopted it, 16 Del. Admin. Code 4458 adopts the edition of 2017). When is not stated.
    "us-2022": (True, "written", "unstated", "adopted", "secondary"),
    # Regulation (EU) 1169/2011 Articles 9(1)(c), 44 and Commission Notice 2017/C 428/01 point 4 (an unofficial text,
    # whole): mandatory; without a national rule written, visible, legible, not only on request.
    "eu": (True, "written", "twice", "law", "whole"),
    # LMIDV § 4(3)-(4), Rhineland-Palatinate state laboratory: written, or oral with a written record and a notice.
    "de": (True, "spoken", "twice", "law", "excerpt"),
    # S.I. 489/2014 as updated by S.I. 656/2024, FSAI page: written, before the sale, without asking.
    "ie": (True, "written", "twice", "law", "excerpt"),
    # SI 2014/1855 regulation 5 and parallels, Food Standards Agency's decision tool: written or oral, and if it is not
    # written a statement where to get it. At a distance (Article 14, Coventry City Council): before and at delivery.
    "uk": (True, "spoken", "twice", "law", "excerpt"),
    # FSA best practice guidance, 5 March 2025, summaries: recommended, not law.
    "uk-advice": (False, "written", "unstated", "guidance", "secondary"),
    # SI 2019/1218, explanatory note (whole): packed before it is chosen; exempt at a distance.
    "uk-packed": (True, "written", "unstated", "law", "whole"),
    # Standard 1.2.1-9(6)-(7), NZ Gazette 2015 No 49 (as made, whole): displayed with the food or provided on request.
    "au": (True, "asked", "unstated", "law", "whole"),
    "nz": (True, "asked", "unstated", "law", "whole"),
    # Food and Drug Regulations B.01.010.1(2): prepackaged products; nothing was found for food made to order.
    "ca": (None, "none", "never", "law", "excerpt"),
}


def test_every_duty_that_was_read_is_in_the_table_and_none_besides() -> None:
    found = {code: (duty.owed, duty.form, duty.when, duty.kind, duty.seen) for code, duty in ALLERGEN_DUTIES.items()}
    assert found == TEXTS
    assert ALLERGEN_SOURCES.keys() == ALLERGEN_DUTIES.keys()
    assert all(source and "memory" not in source for source in ALLERGEN_SOURCES.values())


def test_each_rule_in_force_has_its_duties_and_every_duty_a_kitchen() -> None:
    reached = {
        duty.code
        for food_safety in Kitchen.FoodSafety.values
        for country in ("US", "DE", "IE", "FR")
        for duty in allergen_duties(food_safety, country)
    }
    assert reached == set(TEXTS)


def test_germany_and_ireland_have_their_own_way_and_other_members_the_regulations() -> None:
    assert [[duty.code for duty in allergen_duties("eu", country)] for country in ("FR", "DE", "IE")] == [
        ["eu"],
        ["de"],
        ["ie"],
    ]
    assert [duty.code for duty in allergen_duties("us", "DE")] == ["us", "us-2022"]


def test_only_england_has_the_rule_on_food_packed_before_it_is_chosen() -> None:
    with_it = [
        code for code in Kitchen.FoodSafety.values if "uk-packed" in {d.code for d in allergen_duties(code, "GB")}
    ]
    assert with_it == ["uk-en"]


@pytest.mark.parametrize("food_safety", Kitchen.FoodSafety.values)
def test_every_kitchen_gives_it_in_writing_before_the_order(food_safety: str) -> None:
    notice = allergen_notice(food_safety, "FR")
    assert "in writing, before you order" in notice
    assert ("You get it again with the desserts." in notice) is again_with_delivery(food_safety, "FR")
    assert all(shown.sentence and shown.source for shown in duties_shown(food_safety, "FR"))


def test_a_customer_reads_the_law_that_asks_for_it() -> None:
    assert "as Regulation (EU) No 1169/2011 requires" in allergen_notice("eu", "FR")
    german = allergen_notice("eu", "DE")
    assert "before you order, as Regulation (EU) No 1169/2011 and the LMIDV require. You have it in writing." in german
    assert "in writing, before" not in german, "the LMIDV lets it be spoken, too"
    assert "as S.I. No. 489 of 2014 requires" in allergen_notice("eu", "IE")


def test_advice_is_no_law_and_a_failed_search_proves_nothing() -> None:
    assert any("That is advice, not law." in shown.sentence for shown in duties_shown("uk-en", "GB"))
    assert "That only means that our search failed" in duties_shown("ca", "CA")[0].sentence
