"""Kinds of customer that price rules can name: the codes are those on the customer."""

from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

CUSTOMER_KINDS: Final = (
    ("private", marked("private customers")),
    ("planner", marked("event planners")),
    ("venue", marked("venues")),
    ("business", marked("businesses")),
)


def customer_kinds() -> list[tuple[str, str]]:
    """Return the codes with their words in the reader's language."""
    return [(code, gettext(words)) for code, words in CUSTOMER_KINDS]
