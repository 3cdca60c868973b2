"""What the law asks a kitchen to give and to keep in writing: in words, for the owner and the customer."""

from dataclasses import dataclass
from typing import Final

from catalog.kitchen.duties import AllergenDuty, RecordDuty, When, allergen_duties, record_duties
from catalog.kitchen.presenters import seen_words

#: Code of a duty -> what it says.
_DUTIES: Final = {
    "us": "Federal law asks for no allergen information in food that is boxed on a customer’s order. States may ask.",
    "us-2022": (
        "Where the Food Code of 2022 is adopted, a written notice names the major allergens used as ingredients. "
        "Colorado has adopted it, Delaware’s edition of 2017 does not have it; ask your authority which edition it "
        "applies."
    ),
    "eu": (
        "Allergen information is owed for food made to order: in writing, easy to see and without being asked for, "
        "unless your member state chose another way."
    ),
    "de": (
        "Allergen information is owed for food made to order: in writing, or spoken when a written record is at hand "
        "for guests and the authority and a notice says so."
    ),
    "ie": (
        "Allergen information is owed for food made to order: in writing, in English or in Irish and English, easy to "
        "find before the sale and without asking."
    ),
    "uk": (
        "Information on the fourteen allergens is owed for food made to order: in writing, or spoken when a statement "
        "on the menu, board, ticket or label says where to get it."
    ),
    "uk-advice": (
        "The Food Standards Agency recommends writing without being asked, with a talk besides, and the cereal and the "
        "nut by name."
    ),
    "uk-packed": (
        "Food packed before it is chosen, on the premises where it is sold, carries its name and a full list of its "
        "ingredients; orders at a distance are exempt."
    ),
    "au": "Allergen declarations are displayed with the food or given when the customer asks. No label is needed.",
    "nz": "Allergen declarations are displayed with the food or given when the customer asks. No label is needed.",
    "ca": ("No duty for food made to order was found. That is a search that failed, no finding: ask your authority."),
}
_WHEN: Final[dict[When, str]] = {
    "before": "It is given before the order is concluded.",
    "before and with the delivery": "It is given before an order by telephone or web is concluded, and again with the "
    "delivery",
    "not stated": "",
    "never": "",
}
#: Code of the binding duty -> the law that a customer's sentence names.
_LAWS: Final = {
    "eu": "as Regulation (EU) No 1169/2011 asks",
    "de": "as Regulation (EU) No 1169/2011 and the LMIDV ask",
    "ie": "as S.I. No. 489 of 2014 asks",
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
    when = _WHEN[duty.when]
    if duty.when_source:
        when = f"{when} ({duty.when_source})."
    kind = "That is advice, not law." if duty.kind == "guidance" else ""
    return " ".join(filter(None, (_DUTIES[duty.code], when, kind)))


def _source(duty: AllergenDuty) -> str:
    return f"{duty.source}. {seen_words(duty.seen)}"


def allergen_notice(food_safety: str, country: str) -> str:
    """Write the sentence with which a quote gives the allergen information in writing, for the customer."""
    duty = allergen_duties(food_safety, country)[0]
    given = "What we know of the allergens in each dessert is given to you here in writing, before you order"
    law = _LAWS.get(duty.code)
    again = " You get it again with the desserts." if duty.when == "before and with the delivery" else ""
    return f"{given}{f', {law}' if law else ''}.{again}"


#: Code of a duty -> what it asks in writing.
_RECORDS: Final = {
    "us": (
        "Where time is used instead of temperature, written procedures are prepared in advance, kept in the kitchen "
        "and shown on request. They state how the 4 or 6 hours are kept, and how food that is cooked and "
        "refrigerated first is cooled."
    ),
    "au": (
        "Kitchens that make unpackaged ready-to-eat food that is potentially hazardous keep records, or another "
        "proof, of receipt, storage, processing, cooling, reheating, display and transport: the date, the food or "
        "activity, its temperature or time. A supervisor is certified within five years."
    ),
    "nz": (
        "Under the template plan each batch that is cooled is recorded for the verifier: the food, the date it was "
        "cooked, the time it took to cool. No procedures may be added to the template plan: this sheet stands beside "
        "it."
    ),
    "ca-nb": "Refrigerators are read and recorded twice a day, hot food every 4 hours.",
    "ca-bc": (
        "British Columbia asks for written food safety procedures: the critical points, their limits, how they are "
        "kept, what is done when they are not; and for written sanitation procedures. Other provinces: ask your "
        "authority."
    ),
}


def records_shown(food_safety: str) -> tuple[DutyShown, ...]:
    """Write what a rule asks in writing about time and temperature."""
    return tuple(
        DutyShown(_records(duty), f"{duty.source}. {seen_words(duty.seen)}") for duty in record_duties(food_safety)
    )


def _records(duty: RecordDuty) -> str:
    if duty.asked == "none found":
        return "No written procedure was found in what we read. Ask your authority what it wants to see in writing."
    stored = f"They are kept for {duty.keep_months} months." if duty.keep_months else ""
    return " ".join(filter(None, (_RECORDS[duty.code], stored)))
