"""What shows that a recipe is safe at room temperature, and what is missing to show it, in words."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.recipes.room_sources import ACTIVITY_ALONE, Basis, Lacks
from catalog.web import display
from catalog.web.display.figures import in_locale

_WANTED: Final = marked(
    "It takes one of these: a measured water activity or pH, with who measured it and the date; a named published"
    " source, or a laboratory’s or authority’s assessment, with its number or date; or, of one thing that is bought,"
    " that its label says to store it at room temperature."
)
_TABLE: Final = marked(
    "By table B of the US Food Code (2022, 1-201.10), a pH below %(acid)s counts by itself, one up to %(sour)s with a"
    " water activity of at most %(dry)s, and one up to %(mild)s with at most %(drier)s. A water activity up to"
    " %(alone)s counts by itself. What is above these needs an assessment by your authority or a laboratory."
)
_LACKS: Final[dict[Lacks, str]] = {
    "hearsay": marked("Guesses, experience and tradition show nothing about it."),
    "basis": "",
    "denies": marked(
        "It has a word such as “not”, “until” or “cold”. Write only what shows that it is safe at room temperature."
    ),
    "label_mixed": marked("A label speaks of what it is on, and not of what is mixed with it."),
    "who_when": marked("Add who measured it, and the date with its year."),
    "activity": marked("This water activity is too high to count by itself."),
    "ph": marked("This pH is too high to count by itself."),
    "both": marked("This water activity and pH together do not show it."),
}


def lacks_words(lacks: Lacks) -> str:
    """Write what a source lacks, and what would do."""
    if lacks == "who_when":
        return gettext(_LACKS[lacks])
    wanted = _table_words() if lacks in ("activity", "ph", "both") else gettext(_WANTED)
    return " ".join(filter(None, (gettext(_LACKS[lacks]) if _LACKS[lacks] else "", wanted)))


def _table_words() -> str:
    figures = {"acid": "4.2", "sour": "4.6", "dry": "0.92", "mild": "5.0", "drier": "0.90", "alone": ACTIVITY_ALONE}
    return gettext(_TABLE) % {name: in_locale(str(value)) for name, value in figures.items()}


def basis_words(found: Iterable[Basis]) -> str:
    """Write for a customer, and on sheets, what shows that something is safe at room temperature."""
    return display.joined(list(dict.fromkeys(map(_one, found))))


def _one(basis: Basis) -> str:
    if basis.kind == "label":
        return gettext("its maker’s label")
    if basis.kind == "assessed":
        return gettext("an assessment on record")
    words = {"activity": _figure(basis.activity), "ph": _figure(basis.ph)}
    if basis.ph is None:
        return gettext("a measured water activity of %(activity)s") % words
    if basis.activity is None:
        return gettext("a measured pH of %(ph)s") % words
    return gettext("a measured water activity of %(activity)s and pH of %(ph)s") % words


def _figure(value: Decimal | None) -> str:
    return "" if value is None else in_locale(str(value))
