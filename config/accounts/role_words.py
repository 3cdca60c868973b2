"""The roles in words."""

from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER, ROLES

_ROLES: Final = {OWNER: marked("owner"), KITCHEN: marked("kitchen"), BOOKKEEPER: marked("bookkeeper")}


def role_word(role: str) -> str:
    """Write a role: owner, kitchen, bookkeeper."""
    return gettext(_ROLES[role])


def role_choices() -> list[tuple[str, str]]:
    """List the roles as a form offers them."""
    return [(role, role_word(role).capitalize()) for role in ROLES]
