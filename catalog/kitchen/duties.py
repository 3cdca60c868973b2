"""What the law asks a kitchen to give in writing: about allergens in food made to order, and about time and cold.

Data with sources, by rule in force and country; `presenters` makes the sentences. ``seen`` says how a text was read.
That nothing was found is said as such: it is a failed search and no finding. The law of the place binds, no table.
"""

from dataclasses import dataclass
from typing import Final, Literal

from costing.chilling import Kind, Seen

#: In what form: in writing; in writing or spoken, where a notice says how to ask; displayed or given when asked; none.
Form = Literal["written", "written or spoken", "displayed or asked", "none"]
#: By when: before the order is concluded; before that and again with the delivery; not stated; nothing is owed.
When = Literal["before", "before and with the delivery", "not stated", "never"]


@dataclass(frozen=True, slots=True)
class AllergenDuty:
    """What has to be given about allergens in food that is made to order.

    ``owed`` is None where no duty was found. ``when_source`` is where the time stands if not in ``source``; it is known
    by others' accounts only.
    """

    code: str
    owed: bool | None
    form: Form
    when: When
    source: str
    seen: Seen
    kind: Kind = "law"
    when_source: str = ""


_AT_A_DISTANCE: Final = "Regulation (EU) No 1169/2011 Article 14, as a UK council’s page has it"

ALLERGEN_DUTIES: Final = {
    duty.code: duty
    for duty in (
        AllergenDuty(
            "us",
            False,
            "none",
            "never",
            "FALCPA and FDA’s answers, as a Connecticut legislative report of 2008 has them",
            "secondary",
        ),
        AllergenDuty(
            "us-2022",
            True,
            "written",
            "not stated",
            "US Food Code 2022 3-602.12(C), from press reports; Colorado 6 CCR 1010-2; Delaware 16 Del. Code 4458",
            "secondary",
            "adopted",
        ),
        AllergenDuty(
            "eu",
            True,
            "written",
            "before and with the delivery",
            "Regulation (EU) No 1169/2011 Articles 9(1)(c) and 44, and Commission Notice 2017/C 428/01 point 4",
            "full text",
            when_source=_AT_A_DISTANCE,
        ),
        AllergenDuty(
            "de",
            True,
            "written or spoken",
            "before and with the delivery",
            "LMIDV § 4(3) and (4), on a state laboratory’s page",
            "excerpt",
            when_source=_AT_A_DISTANCE,
        ),
        AllergenDuty(
            "ie",
            True,
            "written",
            "before and with the delivery",
            "S.I. 489/2014 as updated by S.I. 656/2024, on the FSAI’s page",
            "excerpt",
            when_source=_AT_A_DISTANCE,
        ),
        AllergenDuty(
            "uk",
            True,
            "written or spoken",
            "before and with the delivery",
            "SI 2014/1855 regulation 5 and its parallels, by the Food Standards Agency’s decision tool",
            "excerpt",
            when_source=_AT_A_DISTANCE,
        ),
        AllergenDuty(
            "uk-advice",
            False,
            "written",
            "not stated",
            "FSA best practice guidance of 5 March 2025, from summaries",
            "secondary",
            "guidance",
        ),
        AllergenDuty(
            "uk-packed",
            True,
            "written",
            "not stated",
            "SI 2019/1218, regulations 5A and 6A of SI 2014/1855, by its explanatory note",
            "full text",
        ),
        AllergenDuty(
            "au",
            True,
            "displayed or asked",
            "not stated",
            "Standard 1.2.1-9(6) and (7), as made, NZ Gazette 2015 No 49",
            "full text",
        ),
        AllergenDuty(
            "nz",
            True,
            "displayed or asked",
            "not stated",
            "Standard 1.2.1-9(6) and (7), as made, NZ Gazette 2015 No 49; NZ Food Safety, February 2024",
            "full text",
        ),
        AllergenDuty(
            "ca",
            None,
            "none",
            "never",
            "Food and Drug Regulations B.01.010.1(2): its duty is for prepackaged products",
            "excerpt",
        ),
    )
}

#: Rule in force -> its duties, the binding one first. Member states of the European Union may have their own.
_BY_RULE: Final = {
    "us": ("us", "us-2022"),
    "au": ("au",),
    "nz": ("nz",),
    "anz": ("au", "nz"),
    "ca": ("ca",),
    "ca-nb": ("ca",),
    "ca-qc": ("ca",),
    "eu": ("eu",),
    "uk": ("uk", "uk-advice"),
    "uk-en": ("uk", "uk-advice", "uk-packed"),
    "uk-wa": ("uk", "uk-advice"),
    "uk-ni": ("uk", "uk-advice"),
    "uk-sc": ("uk",),
    "uk-cook-chill": ("uk",),
}
_BY_COUNTRY: Final = {"DE": ("de",), "IE": ("ie",)}


def allergen_duties(food_safety: str, country: str) -> tuple[AllergenDuty, ...]:
    """Return what a kitchen has to give about allergens in food made to order, the binding duty first."""
    own = _BY_COUNTRY.get(country) if food_safety == "eu" else None
    return tuple(ALLERGEN_DUTIES[code] for code in own or _BY_RULE[food_safety])


def again_with_delivery(food_safety: str, country: str) -> bool:
    """Return whether the allergen information is given a second time, with the delivery."""
    return allergen_duties(food_safety, country)[0].when == "before and with the delivery"


@dataclass(frozen=True, slots=True)
class RecordDuty:
    """What has to be in writing about time and temperature: a procedure, records, or neither that was found.

    ``keep_months`` is how long records are kept; None where that is not stated.
    """

    code: str
    asked: Literal["procedure", "records", "none found"]
    source: str
    seen: Seen
    kind: Kind = "law"
    keep_months: int | None = None


RECORD_DUTIES: Final = {
    duty.code: duty
    for duty in (
        RecordDuty(
            "us",
            "procedure",
            "US Food Code 3-501.19(A), as enacted in 16 Del. Admin. Code 3-501.19",
            "full text",
            "adopted",
        ),
        RecordDuty(
            "au",
            "records",
            "Standard 3.2.2A, from 8 December 2023, by a council’s and two states’ pages",
            "secondary",
            keep_months=3,
        ),
        RecordDuty(
            "nz",
            "records",
            "MPI template food control plan S39-00002, card on cooling freshly cooked food, from a copy",
            "secondary",
            "template",
        ),
        RecordDuty("ca-nb", "records", "N.B. Reg. 2009-138 section 32", "full text"),
        RecordDuty("ca-bc", "procedure", "B.C. Reg. 210/99 sections 23 and 24", "full text"),
        RecordDuty("ca-qc", "none found", "Regulation P-29, r. 1, section 1.4.1", "full text"),
        RecordDuty("eu", "none found", "Regulation (EC) 852/2004, Annex II, chapter IX, point 5", "excerpt"),
        RecordDuty("uk", "none found", "Schedule 4 of the regulations of the nation, as far as it was seen", "excerpt"),
    )
}

#: Rule in force -> what it asks in writing. British Columbia has no cooling rule in the table; its kitchens choose the
#: model code.
_RECORDS_BY_RULE: Final = {
    "us": ("us",),
    "au": ("au",),
    "nz": ("nz",),
    "anz": ("au", "nz"),
    "ca": ("ca-bc",),
    "ca-nb": ("ca-nb",),
    "ca-qc": ("ca-qc",),
    "eu": ("eu",),
}


def record_duties(food_safety: str) -> tuple[RecordDuty, ...]:
    """Return what a rule asks in writing about time and temperature."""
    return tuple(RECORD_DUTIES[code] for code in _RECORDS_BY_RULE.get(food_safety, ("uk",)))
