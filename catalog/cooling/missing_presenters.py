"""What cooling does not find, with the way to where it is entered; and what seems odd about a mold, in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.db import models
from django.urls import reverse

from catalog.cooling.cycles import Missing
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.records.presenters import reason_sentence
from catalog.records.reasons import Reason
from catalog.web import display


@dataclass(frozen=True, slots=True)
class ShownMissing:
    """What is missing, in a sentence, and the page on which it is entered."""

    sentence: str
    url: str


SENTENCES: Final[Mapping[str, str]] = {
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
}
#: Kind of thing -> its rows, what names one in a Book, and the page on which it is changed.
_PAGES: Final[Mapping[str, tuple[type[models.Model], str, str]]] = {
    "product": (Product, "code", "product-edit"),
    "mold": (Mold, "name", "mold-edit"),
    "station": (Station, "code", "kitchen-stations-edit"),
}


def missing_sentence(missing: Missing) -> str:
    """Say what is missing."""
    return note_sentence(missing.reason)


def note_sentence(reason: Reason) -> str:
    """Say what is missing, or what seems odd."""
    writers = {"row": ", ".join, "tenth": lambda value: display.plain(value, 1)}
    return reason_sentence(reason, SENTENCES, writers)


def shown_missing(missing: Missing) -> ShownMissing:
    """Say what is missing and where it is entered; one query for the page of a single thing."""
    if missing.kind not in _PAGES:
        return ShownMissing(missing_sentence(missing), reverse(missing.kind))
    model, column, page = _PAGES[missing.kind]
    pk = model._default_manager.values_list("pk", flat=True).get(**{column: missing.thing})
    return ShownMissing(missing_sentence(missing), reverse(page, args=[pk]))
