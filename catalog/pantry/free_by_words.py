"""The question how it is known that something is free of an allergen, its answers and what is said without one."""

from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.pantry.free_by import ASKED, LABEL, OWN, one_line, source_value

_WORDS: Final = {
    LABEL: _("The supplier’s label"),
    OWN: _("Our own recipe"),
    ASKED: _("We asked the maker"),
}
#: The field's label.
QUESTION: Final = _("How do you know what it is free of?")


def source_choices(name: str) -> list[tuple[str, str]]:
    """Return what can be answered for a name; an answer for another name is none of them."""
    return [(source_value(source, name), str(words)) for source, words in _WORDS.items()]


def source_words(value: str) -> str:
    """Return a stored source in words; empty where there is none."""
    return str(_WORDS.get(value.partition(":")[0], ""))


def missing_words(name: str, before: str = "") -> str:
    """Return what is said where the source is missing; ``before`` is another name under which it was answered."""
    if before:
        sentence = gettext(
            "It was called “%(before)s” when it was answered. Choose how you know what “%(name)s” is free of, or set"
            " those answers to “not checked”."
        )
        return sentence % {"before": one_line(before), "name": one_line(name)}
    sentence = gettext(
        "The name “%(name)s” does not say all that is in it. Choose how you know what it is free of, or leave those"
        " allergens “not checked”."
    )
    return sentence % {"name": one_line(name)}
