"""What has to be given in writing about allergens in food made to order: in words, for the owner and the customer."""

from dataclasses import dataclass
from typing import Final

from catalog.kitchen.duties import AllergenDuty, When, allergen_duties
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
