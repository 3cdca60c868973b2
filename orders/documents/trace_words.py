"""What is said about traces on everything a customer gets; the invitation to ask always follows."""

from typing import Final

#: The invitation that closes every statement about traces, whatever the kitchen says before it.
ASK_FIRST: Final = "If somebody at your table has an allergy, speak with us first."
#: What is said until the kitchen says it in its own words.
CROSS_CONTACT: Final = f"Everything is made in one kitchen, so traces of other allergens are possible. {ASK_FIRST}"


def trace_words(own: str) -> str:
    """Return the kitchen's own words about traces, or the usual ones, and after them the invitation to ask."""
    own = own.strip()
    if not own or ASK_FIRST in own:
        return own or CROSS_CONTACT
    return f"{own if own[-1] in '.!?' else f'{own}.'} {ASK_FIRST}"
