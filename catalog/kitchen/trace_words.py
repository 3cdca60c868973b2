"""What is said about traces on everything a customer gets: the kitchen's own words, and always the standing caution."""

from typing import Final

#: The invitation that closes every statement about traces.
ASK_FIRST: Final = "If somebody at your table has an allergy, speak with us first."
#: What is always said about traces, after whatever the kitchen says in its own words.
CROSS_CONTACT: Final = f"Everything is made in one kitchen, so traces of other allergens are possible. {ASK_FIRST}"


def trace_words(own: str) -> str:
    """Return the kitchen's own words about traces, if any, and after them the standing caution in full."""
    # Contents of earlier days end with the invitation alone, or are the caution alone.
    own = own.strip().removesuffix(CROSS_CONTACT).removesuffix(ASK_FIRST).strip()
    if not own:
        return CROSS_CONTACT
    return f"{own if own[-1] in '.!?' else f'{own}.'} {CROSS_CONTACT}"
