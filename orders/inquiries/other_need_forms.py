"""The free lines of the inquiry form: what guests cannot eat and no list has, and how many they are."""

import re
from collections.abc import Iterator
from typing import Any, Final

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.pantry.allergens import covered, need_name
from catalog.pantry.kind_words import foods_named, maybe_made_with
from catalog.pantry.note_needs import need_called
from catalog.pantry.other_needs import LONGEST, other_code, other_words
from catalog.pantry.presenters import need_words
from catalog.web.fields import WholeField

#: So many lines are empty whenever the form is opened; what was entered before stands in the list.
_LINES: Final = (1, 2, 3)
_SEVERAL: Final = re.compile(r"[,;&+/\n]|\b(?:and|or|und|oder|et|ou)\b", re.IGNORECASE)
#: Two groups of the list in one word: shrimp and crab, mussels and oysters.
_SHELLFISH: Final = re.compile(r"(?:all\s+)?shell[\s-]?fish(?:es)?", re.IGNORECASE)
#: Ways to eat, which are no single food.
_DIETS: Final = re.compile(
    r"\b(?:halal|kosher|koscher|keto|ketogenic|paleo|fodmaps?|diabet\w*|pescatarian|jain|low[\s-]\w+|sugar[\s-]?free)\b",
    re.IGNORECASE,
)


def other_needs_fields() -> dict[str, forms.Field]:
    """Return the fields of the lines."""
    found: dict[str, forms.Field] = {}
    for n in _LINES:
        found[f"other-{n}"] = forms.CharField(
            label=gettext("Something else, line %(n)s") % {"n": n}, required=False, max_length=LONGEST
        )
        found[f"other-guests-{n}"] = WholeField(
            what=_("the number of guests"),
            label=gettext("Guests: something else, line %(n)s") % {"n": n},
            required=False,
            least=1,
            most=100_000,
        )
    return found


def other_needs_rows(form: forms.Form) -> Iterator[tuple[BoundField, BoundField]]:
    """Return each line with its number of guests."""
    return ((form[f"other-{n}"], form[f"other-guests-{n}"]) for n in _LINES)


def other_needs_read(form: forms.Form, values: dict[str, Any]) -> None:
    """Add what the lines say to the needs of ``values``; what the list has becomes the need of the list."""
    for n in _LINES:
        words, guests = values.get(f"other-{n}") or "", values.get(f"other-guests-{n}")
        if not words:
            if guests and f"other-{n}" not in form.errors:
                form.add_error(f"other-{n}", gettext("Enter what these guests cannot eat, or clear the number."))
            continue
        code, refusal = _need_of(words, values["allergies"])
        refusal = refusal or _other_number(code, guests, values)
        if refusal:
            form.add_error(f"other-{n}", refusal)
            continue
        if code not in values["allergies"]:
            values["allergies"].append(code)
        if guests:
            values["need_counts"][code] = guests


def _need_of(words: str, known: list[str]) -> tuple[str, str]:
    """Return the code of what a line says, or why it cannot stay so."""
    code = other_code(words)
    if not code:
        return "", gettext("Enter it in letters, such as kiwi.")
    if _SEVERAL.search(words):
        return "", gettext("Enter one on each line: “%(words)s” may be several.") % {"words": words}
    plain = other_words(code)
    if _SHELLFISH.fullmatch(plain):
        sentence = gettext(
            "“%(words)s” may be crustaceans, molluscs or both. Enter each on its own line; both if you do not know."
        )
        return "", sentence % {"words": words}
    if listed := need_called(plain):
        return listed, ""
    if _DIETS.search(plain):
        return "", gettext("“%(words)s” is a way to eat: write it under the allergy notes.") % {"words": words}
    held = frozenset[str]().union(*map(covered, known))
    if named := [one for one in foods_named(plain) if not covered(one) & held]:
        sentence = gettext("“%(words)s” names %(needs)s. Check that in the list, and leave this line if it says more.")
        if set(named) <= {*maybe_made_with(plain)}:
            sentence = gettext(
                "“%(words)s” may be made with %(needs)s: ask the guest, and check in the list what it is."
            )
        return "", sentence % {"words": words, "needs": need_words(named)}
    return next((one for one in known if covered(one) == covered(code)), code), ""


def _other_number(code: str, guests: int | None, values: dict[str, Any]) -> str:
    """Return the refusal of a need that is there already for another number of guests."""
    before = values["need_counts"].get(code)
    if not guests or before in (None, guests):
        return ""
    twice = gettext("%(need)s is there already, for %(count)s. Enter it once, with the number of all guests.")
    return twice % {"need": f"“{need_name(code)}”", "count": before}
