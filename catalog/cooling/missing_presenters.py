"""Missing input of cooling in words, with the page where it is entered, and remarks."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.urls import reverse

from catalog.cooling.cycles import Missing
from catalog.records.presenters import Sentences, Writers, reason_sentence
from catalog.records.reasons import Reason
from catalog.web import display


@dataclass(frozen=True, slots=True)
class MissingShown:
    """A sentence about missing input, and the page where it is entered."""

    sentence: str
    url: str


#: Code of a reason -> its words.
SENTENCES: Final[Sentences] = {
    "no_cold_stage": "No stay in the cold follows “{step}”. Add a chill step, and say in which refrigerator.",
    "no_refrigerator": "Say in which refrigerator “{step}” is.",
    "no_air": "Enter the air temperature of {station}.",
    "no_mold": "Say what {product} is made in, so that its shape is known.",
    "no_measures": "Enter the inside measures of {mold}.",
    "no_height": "Enter how high {mold} is filled for {product}.",
    "unknown_food": (
        "What it consists of is not known for {names:row}. Choose its row of the food table, or enter it."
    ),
    "mixture": "{message}",
    "height_follows": "No fill height is entered: {height:tenth} cm follows from what goes into {mold}.",
    "height_differs": (
        "What goes into one would fill {mold} to {full:tenth} cm, and {height:tenth} cm is entered. Check the height,"
        " the amounts, and the air whipped into its recipes."
    ),
    "mold_lower": "{mold} is only {height:tenth} cm high.",
    "left_out": "What {names:joined} consists of is not known; it is left out ({share:percent} of the mass).",
}
#: Parameter format -> function that writes the value.
WRITERS: Final[Writers] = {
    "joined": display.joined,
    "percent": display.percent,
    "row": ", ".join,
    "tenth": lambda value: display.plain(value, 1),
}
#: Kind of thing -> the page on which it is changed; a list has no key.
_PAGES: Final[Mapping[str, str]] = {
    "product": "product-edit",
    "mold": "mold-edit",
    "station": "kitchen-stations-edit",
    "ingredients": "ingredients",
}


def missing_shown(missing: Missing, key: int | None) -> MissingShown:
    """Write what is missing and where it is entered; ``key`` is the primary key of the row, None for a list."""
    return MissingShown(missing_sentence(missing), reverse(_PAGES[missing.kind], args=[] if key is None else [key]))


def missing_sentence(missing: Missing) -> str:
    """Say what is missing."""
    return note_sentence(missing.reason)


def note_sentence(reason: Reason) -> str:
    """Say what is missing, what seems odd, or what is left out."""
    return reason_sentence(reason, SENTENCES, WRITERS)
