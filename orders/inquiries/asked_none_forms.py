"""Whether notes about allergies go against the tick that the customer was asked and named none."""

import re
from typing import Any, Final

from django.utils.translation import gettext

from catalog.pantry.other_words import may_name_any_need, needs_named
from catalog.pantry.plain_text import plain_text
from catalog.pantry.presenters import need_words

_IT: Final = r"(?:allerg(?:y|ies)|intolerances?|diets?|restrictions?|needs|requirements?)"
#: Words by which nobody has one; they say the same as the tick.
_NOBODY: Final = re.compile(
    r"\b(?:(?:no|none|any|not\s+any|without|zero|neither)\s+(?:(?:known|food|other|such|special|serious|further|guest|dietary)\s+)*"
    r"(?:allergens?|requirements?|requests?|needs|"
    + _IT
    + r")(?:\s*(?:or|and|nor|,|/)\s*(?:(?:food|dietary)\s+)?"
    + _IT
    + r")*"
    r"|(?:nobody|no\s+one|none(?:\s+of\s+\w+)?|no\s+guests?)\s+(?:is|are|has|have|had|with)\s+(?:(?:allergic|intolerant)(?:\s+to\s+anything)?"
    r"|(?:an?\s+|any\s+)?(?:allerg(?:y|ies)|intolerances?|diets?))"
    r"|(?:asked|asking)\s+(?:\w+\s+){0,3}about\s+" + _IT + r"(?:\s+(?:and|or)\s+" + _IT + r")?"
    r"|(?:niemand|keine[rs]?)\s+(?:ist|hat)\s+(?:eine?\s+)?(?:allerg\w+|unvertr\S+)"
    r"|kein\w*\s+(?:bekannten?\s+)?(?:allergi\w+|unvertr\S+|di\S+)"
    r"(?:\s+(?:und|oder)\s+(?:allergi\w+|unvertr\S+|di\S+))*"
    r"|(?:pas|aucune?)\s+(?:d['\u2019]|de\s+)?(?:allergie\w*|intol\S+|r\S+gime\w*)"
    r"|personne\s+n['\u2019](?:est\s+allergique|a\s+d['\u2019]allergie))\b",
    re.IGNORECASE,
)


def against_none_named(note: str, guests: int | None) -> str:
    """Write why notes go against the tick: what they name, or that they may name something; empty where they do not.

    ``guests`` are those of the event.
    """
    rest = _NOBODY.sub(" ", plain_text(note))
    if named := needs_named(rest, guests):
        sentence = gettext(
            "You checked that the customer named no allergies or diets, and the allergy notes name %(needs)s."
            " Clear the box, or change the notes."
        )
        return sentence % {"needs": need_words(named)}
    if may_name_any_need(rest):
        return gettext(
            "You checked that the customer named no allergies or diets, and the allergy notes may name one. Clear the"
            " box, or change the notes."
        )
    return ""


def both_named(needs: Any) -> str:
    """Write that the tick stands beside needs."""
    both = gettext(
        "You checked that the customer named no allergies or diets, and %(needs)s under them. Clear one of the two."
    )
    return both % {"needs": need_words(needs)}
