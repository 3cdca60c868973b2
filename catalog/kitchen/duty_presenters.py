"""What the law asks a kitchen to give and to keep in writing: in words, for the owner and the customer."""

from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.duties import AllergenDuty, RecordDuty, When, allergen_duties, record_duties
from catalog.kitchen.presenters import seen_words

#: Code of a duty -> what it says.
_DUTIES: Final = {
    "us": marked(
        "Federal law asks for no allergen information in food that is boxed on a customer’s order. States may ask."
    ),
    "us-2022": marked(
        "Where the Food Code of 2022 is adopted, a written notice names the major allergens used as ingredients. "
        "Colorado has adopted it, Delaware’s edition of 2017 does not have it; ask your authority which edition it "
        "applies."
    ),
    "eu": marked(
        "Allergen information is owed for food made to order: in writing, easy to see and without being asked for, "
        "unless your member state chose another way."
    ),
    "de": marked(
        "Allergen information is owed for food made to order: in writing, or spoken when a written record is at hand "
        "for guests and the authority and a notice says so."
    ),
    "ie": marked(
        "Allergen information is owed for food made to order: in writing, in English or in Irish and English, easy to "
        "find before the sale and without asking."
    ),
    "uk": marked(
        "Information on the fourteen allergens is owed for food made to order: in writing, or spoken when a statement "
        "on the menu, board, ticket or label says where to get it."
    ),
    "uk-advice": marked(
        "The Food Standards Agency recommends writing without being asked, with a talk besides, and the cereal and the "
        "nut by name."
    ),
    "uk-packed": marked(
        "Food packed before it is chosen, on the premises where it is sold, carries its name and a full list of its "
        "ingredients; orders at a distance are exempt."
    ),
    "au": marked(
        "Allergen declarations are displayed with the food or given when the customer asks. No label is needed."
    ),
    "nz": marked(
        "Allergen declarations are displayed with the food or given when the customer asks. No label is needed."
    ),
    "ca": marked(
        "We found no duty for food made to order. That only means that our search failed: ask your authority."
    ),
}
#: Code of a duty -> where it stands.
ALLERGEN_SOURCES: Final = {
    "us": marked("FALCPA and FDA’s answers, as a Connecticut legislative report of 2008 has them"),
    "us-2022": marked(
        "US Food Code 2022 3-602.12(C), from press reports; Colorado 6 CCR 1010-2; Delaware 16 Del. Code 4458"
    ),
    "eu": marked("Regulation (EU) No 1169/2011 Articles 9(1)(c) and 44, and Commission Notice 2017/C 428/01 point 4"),
    "de": marked("LMIDV § 4(3) and (4), on a state laboratory’s page"),
    "ie": marked("S.I. 489/2014 as updated by S.I. 656/2024, on the FSAI’s page"),
    "uk": marked("SI 2014/1855 regulation 5 and its parallels, by the Food Standards Agency’s decision tool"),
    "uk-advice": marked("FSA best practice guidance of 5 March 2025, from summaries"),
    "uk-packed": marked("SI 2019/1218, regulations 5A and 6A of SI 2014/1855, by its explanatory note"),
    "au": marked("Standard 1.2.1-9(6) and (7), as made, NZ Gazette 2015 No 49"),
    "nz": marked("Standard 1.2.1-9(6) and (7), as made, NZ Gazette 2015 No 49; NZ Food Safety, February 2024"),
    "ca": marked("Food and Drug Regulations B.01.010.1(2): its duty is for prepackaged products"),
}
#: Where it stands when the information is given.
_AT_A_DISTANCE: Final = marked("Regulation (EU) No 1169/2011 Article 14, as a UK council’s page has it")
_WHEN: Final[dict[When, str]] = {
    "before": marked("It is given before the order is concluded."),
    "twice": marked("It is given before an order by telephone or web is concluded, and again with the delivery."),
    "unstated": "",
    "never": "",
}
#: What a customer reads about the allergen information.
_GIVEN: Final = marked("Here is what we know of the allergens in each dessert, in writing, before you order.")
#: Code of the binding duty -> the same, with the law that asks for it.
_LAWS: Final = {
    "eu": marked(
        "Here is what we know of the allergens in each dessert, in writing, before you order, as Regulation (EU)"
        " No 1169/2011 requires."
    ),
    # Germany lets it be spoken: writing is this kitchen's way, and not what the law asks for.
    "de": marked(
        "Here is what we know of the allergens in each dessert, before you order, as Regulation (EU) No 1169/2011 and"
        " the LMIDV require. You have it in writing."
    ),
    "ie": marked(
        "Here is what we know of the allergens in each dessert, in writing, before you order, as S.I. No. 489 of 2014"
        " requires."
    ),
}


@dataclass(frozen=True, slots=True)
class DutyShown:
    """A duty for the owner: what is owed and by when, whether it is law, where it stands."""

    sentence: str
    source: str


def duties_shown(food_safety: str, country: str) -> tuple[DutyShown, ...]:
    """Write what a kitchen has to give about allergens in food made to order."""
    return tuple(DutyShown(_sentence(duty), _source(duty)) for duty in allergen_duties(food_safety, country))


def _sentence(duty: AllergenDuty) -> str:
    when = _WHEN[duty.when] and gettext(_WHEN[duty.when])
    if duty.at_a_distance:
        when = f"{when} ({gettext(_AT_A_DISTANCE)}.)"
    kind = gettext("That is advice, not law.") if duty.kind == "guidance" else ""
    return " ".join(filter(None, (gettext(_DUTIES[duty.code]), when, kind)))


def _source(duty: AllergenDuty) -> str:
    return f"{gettext(ALLERGEN_SOURCES[duty.code])}. {seen_words(duty.seen)}"


def allergen_notice(food_safety: str, country: str) -> str:
    """Write the sentence with which a quote gives the allergen information in writing, for the customer."""
    duty = allergen_duties(food_safety, country)[0]
    given = gettext(_LAWS.get(duty.code, _GIVEN))
    return f"{given} {gettext('You get it again with the desserts.')}" if duty.when == "twice" else given


#: Code of a duty -> where it stands.
RECORD_SOURCES: Final = {
    "us": marked("US Food Code 3-501.19(A), as enacted in 16 Del. Admin. Code 3-501.19"),
    "au": marked("Standard 3.2.2A, from 8 December 2023, by a council’s and two states’ pages"),
    "nz": marked("MPI template food control plan S39-00002, card on cooling freshly cooked food, from a copy"),
    "ca-nb": marked("N.B. Reg. 2009-138 section 32"),
    "ca-bc": marked("B.C. Reg. 210/99 sections 23 and 24"),
    "ca-qc": marked("Regulation P-29, r. 1, section 1.4.1"),
    "eu": marked("Regulation (EC) 852/2004, Annex II, chapter IX, point 5"),
    "uk": marked("Schedule 4 of the regulations of the nation, as far as it was seen"),
}
#: Code of a duty -> what it asks in writing.
_RECORDS: Final = {
    "us": marked(
        "Where time is used instead of temperature, written procedures are prepared in advance, kept in the kitchen "
        "and shown on request. They state how the 4 or 6 hours are kept, and how food that is cooked and "
        "refrigerated first is cooled."
    ),
    "au": marked(
        "Kitchens that make unpackaged ready-to-eat food that is potentially hazardous keep records, or another "
        "proof, of receipt, storage, processing, cooling, reheating, display and transport: the date, the food or "
        "activity, its temperature or time. A supervisor is certified within five years."
    ),
    "nz": marked(
        "Under the template plan each batch that is cooled is recorded for the verifier: the food, the date it was "
        "cooked, the time it took to cool. No procedures may be added to the template plan: this sheet stands beside "
        "it."
    ),
    "ca-nb": marked("Refrigerators are read and recorded twice a day, hot food every 4 hours."),
    "ca-bc": marked(
        "British Columbia asks for written food safety procedures: the critical points, their limits, how they are "
        "kept, what is done when they are not; and for written sanitation procedures. Other provinces: ask your "
        "authority."
    ),
}


def records_shown(food_safety: str) -> tuple[DutyShown, ...]:
    """Write what a rule asks in writing about time and temperature, for a paper that others read."""
    return tuple(
        DutyShown(_records(duty), f"{gettext(RECORD_SOURCES[duty.code])}.") for duty in record_duties(food_safety)
    )


def _records(duty: RecordDuty) -> str:
    if duty.asked == "none":
        return gettext(
            "No requirement for a written procedure was found in the text named here. Ask your authority what it wants"
            " to see in writing."
        )
    stored = ""
    if duty.keep_months:
        text = ngettext("They are kept for %(count)s month.", "They are kept for %(count)s months.", duty.keep_months)
        stored = text % {"count": duty.keep_months}
    return " ".join(filter(None, (gettext(_RECORDS[duty.code]), stored)))
