"""What cooling misses or finds odd, in sentences, and the links to where it is put right."""

from typing import Final

from django.urls import reverse

from catalog.cooling.missing import Missing, Place
from catalog.records import presenters
from catalog.records.presenters import Sentences, Writers
from catalog.records.reasons import Reason
from catalog.web import display

#: Code of a reason -> its words.
SENTENCES: Final[Sentences] = {
    # What is missing.
    "no_mold": "Say what {product} is made in, so that its shape is known.",
    "no_measures": "Enter the inside measures of {mold}.",
    "no_fill_height": "Enter how high {mold} is filled for {product}.",
    "no_cold_stage": "No stay in the cold follows “{step}”. Add a chill step, and say in which refrigerator.",
    "no_refrigerator": "Say in which refrigerator “{step}” is.",
    "no_air": "Enter the air temperature of {station}.",
    "composition_unknown": (
        "What it consists of is not known for {names:joined}. Choose its row of the food table, or enter it."
    ),
    "cannot_be_mixed": "{why}",
    # Why a mixture cannot be; the innermost reason is the computation's own sentence.
    "of_recipe": "{recipe}: {why}",
    "cannot_be_weighed": "{ingredient} cannot be weighed: {why}",
    # What seems odd.
    "height_follows": "No fill height is entered: {full:tenths} cm follows from what goes into {mold}.",
    "height_and_amount_differ": (
        "What goes into one would fill {mold} to {full:tenths} cm, and {entered:tenths} cm is entered. "
        "Check the height, the amounts, and the air whipped into its recipes."
    ),
    "mold_too_low": "{mold} is only {height:tenths} cm high.",
    "left_out": "What {names:joined} consists of is not known; it is left out ({share:percent} of the mass).",
}
_WRITERS: Final[Writers] = {
    "joined": display.joined,
    "tenths": lambda number: display.plain(number, 1),
    "percent": display.percent,
}
#: Kind of page -> the name of its address.
_ADDRESSES: Final = {
    "product": "product-edit",
    "mold": "mold-edit",
    "station": "kitchen-stations-edit",
    "ingredients": "ingredients",
}


def missing_sentence(missing: Missing) -> str:
    """Say what is missing."""
    return note_sentence(missing.reason)


def note_sentence(reason: Reason) -> str:
    """Say what is missing, or what seems odd."""
    return presenters.reason_sentence(reason, SENTENCES, _WRITERS)


def place_url(place: Place) -> str:
    """Return the address of a page."""
    return reverse(_ADDRESSES[place.page], args=[] if place.key is None else [place.key])
