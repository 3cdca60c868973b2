"""E-mail addresses: one, and one that can be written to."""

from django.core.exceptions import ValidationError
from django.core.validators import validate_email


def can_be_written_to(address: str) -> bool:
    """Return whether a text is one e-mail address."""
    try:
        validate_email(address)
    except ValidationError:
        return False
    return True
