"""Actors in the audit trail that are not signed-in users. No user's name has a colon."""

from typing import Final

CLOCK: Final = ":clock"
MAIL: Final = ":mail"
CUSTOMER: Final = ":customer"
COMMAND: Final = ":command"


def customer(link_id: int | None) -> str:
    """Return the actor of a customer, by the private link used."""
    return f"{CUSTOMER}:{link_id}" if link_id else CUSTOMER
