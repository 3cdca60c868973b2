"""Who stands in the audit trail where nobody signed in did it. No user's name has a colon."""

from typing import Final

CLOCK: Final = ":clock"
MAIL: Final = ":mail"
CUSTOMER: Final = ":customer"


def customer(link_id: int | None) -> str:
    """Name the customer, by the private link they came in by."""
    return f"{CUSTOMER}:{link_id}" if link_id else CUSTOMER
