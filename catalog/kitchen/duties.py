"""What the law asks a kitchen to give in writing: about allergens in food made to order, and about time and cold.

By rule in force and country; `duty_presenters` makes the sentences, and names the sources.
``seen`` says how a text was read.
That nothing was found is said as such: it is a failed search and no finding. The law of the place binds, no table.
"""

from dataclasses import dataclass
from typing import Final, Literal

from costing.chilling import Kind, Seen

#: In what form: in writing; in writing or spoken, where a notice says how to ask; displayed or given when asked; none.
Form = Literal["written", "spoken", "asked", "none"]
#: By when: before the order is concluded; before that and again with the delivery; not stated; nothing is owed.
When = Literal["before", "twice", "unstated", "never"]


@dataclass(frozen=True, slots=True)
class AllergenDuty:
    """What has to be given about allergens in food that is made to order.

    ``owed`` is None where no duty was found. ``at_a_distance``: when it is given is known by others' accounts only.
    """

    code: str
    owed: bool | None
    form: Form
    when: When
    seen: Seen
    kind: Kind = "law"
    at_a_distance: bool = False


ALLERGEN_DUTIES: Final = {
    duty.code: duty
    for duty in (
        AllergenDuty(
            "us",
            False,
            "none",
            "never",
            "secondary",
        ),
        AllergenDuty(
            "us-2022",
            True,
            "written",
            "unstated",
            "secondary",
            "adopted",
        ),
        AllergenDuty(
            "eu",
            True,
            "written",
            "twice",
            "whole",
            at_a_distance=True,
        ),
        AllergenDuty(
            "de",
            True,
            "spoken",
            "twice",
            "excerpt",
            at_a_distance=True,
        ),
        AllergenDuty(
            "ie",
            True,
            "written",
            "twice",
            "excerpt",
            at_a_distance=True,
        ),
        AllergenDuty(
            "uk",
            True,
            "spoken",
            "twice",
            "excerpt",
            at_a_distance=True,
        ),
        AllergenDuty(
            "uk-advice",
            False,
            "written",
            "unstated",
            "secondary",
            "guidance",
        ),
        AllergenDuty(
            "uk-packed",
            True,
            "written",
            "unstated",
            "whole",
        ),
        AllergenDuty(
            "au",
            True,
            "asked",
            "unstated",
            "whole",
        ),
        AllergenDuty(
            "nz",
            True,
            "asked",
            "unstated",
            "whole",
        ),
        AllergenDuty(
            "ca",
            None,
            "none",
            "never",
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
    return allergen_duties(food_safety, country)[0].when == "twice"


@dataclass(frozen=True, slots=True)
class RecordDuty:
    """What has to be in writing about time and temperature: a procedure, records, or neither that was found.

    ``keep_months`` is how long records are kept; None where that is not stated.
    """

    code: str
    asked: Literal["procedure", "records", "none"]
    seen: Seen
    kind: Kind = "law"
    keep_months: int | None = None


RECORD_DUTIES: Final = {
    duty.code: duty
    for duty in (
        RecordDuty(
            "us",
            "procedure",
            "whole",
            "adopted",
        ),
        RecordDuty(
            "au",
            "records",
            "secondary",
            keep_months=3,
        ),
        RecordDuty(
            "nz",
            "records",
            "secondary",
            "template",
        ),
        RecordDuty("ca-nb", "records", "whole"),
        RecordDuty("ca-bc", "procedure", "whole"),
        RecordDuty("ca-qc", "none", "whole"),
        RecordDuty("eu", "none", "excerpt"),
        RecordDuty("uk", "none", "excerpt"),
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
