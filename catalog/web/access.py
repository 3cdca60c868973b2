"""Access by role. A view without :func:`allow` is open to nobody (checked by ``config.middleware``)."""

from collections.abc import Callable
from typing import Any, Final, TypeVar

OWNER: Final = "owner"
KITCHEN: Final = "kitchen"
BOOKKEEPER: Final = "bookkeeper"
#: Anybody, signed in or not: the sign-in page, the customer's private pages, the health check.
ANYBODY: Final = "anybody"

ROLES: Final = (OWNER, KITCHEN, BOOKKEEPER)

View = TypeVar("View", bound=Callable[..., Any])


def allow(*roles: str) -> Callable[[View], View]:
    """Mark a view as open to these roles.

    Raises ValueError for a role that does not exist.
    """
    unknown = set(roles) - {*ROLES, ANYBODY}
    if unknown or not roles:
        raise ValueError(f"name roles out of {ROLES}, not {sorted(unknown)}")

    def mark(view: View) -> View:
        view.roles = frozenset(roles)  # type: ignore[attr-defined]  # read by the middleware and the access test
        return view

    return mark
