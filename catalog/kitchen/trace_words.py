"""What is said about traces on everything a customer gets: the kitchen's own words, and always the standing caution."""

from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

#: The invitation that closes every statement about traces.
ASK_FIRST: Final = marked("If somebody at your table has an allergy, speak with us first.")
#: What is always said about traces, after whatever the kitchen says in its own words.
CROSS_CONTACT: Final = marked(
    "Everything is made in one kitchen, so traces of other allergens are possible. If somebody at your table has an"
    " allergy, speak with us first."
)


def trace_words(own: str) -> str:
    """Return the kitchen's own words about traces, if any, and after them the standing caution in full."""
    # Contents of earlier days end with the invitation alone, or are the caution alone.
    own, standing = own.strip(), gettext(CROSS_CONTACT)
    for ending in (standing, CROSS_CONTACT, gettext(ASK_FIRST), ASK_FIRST):
        own = own.removesuffix(ending).strip()
    if not own:
        return standing
    return f"{own if own[-1] in '.!?' else f'{own}.'} {standing}"
