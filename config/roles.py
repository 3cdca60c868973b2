"""The roles of a request. A role is a Django group of that name; a superuser counts as the owner."""

from django.contrib.auth.models import User
from django.http import HttpRequest

from catalog.web.access import OWNER, ROLES
from config.accounts.restricted import is_restricted


def roles_of(user: User) -> frozenset[str]:
    """Return a person's roles."""
    groups = {group.name for group in user.groups.all()}
    if user.is_superuser:
        groups.add(OWNER)
    return frozenset(groups & set(ROLES))


def roles_of_request(request: HttpRequest) -> frozenset[str]:
    """Return the roles, read once per request and cached as ``request.user_roles``."""
    known: frozenset[str] | None = getattr(request, "user_roles", None)
    if known is None:
        known = _read(request)
        request.user_roles = known  # type: ignore[attr-defined]  # the project's own attribute, named in DEVELOPERS.md
    return known


def forget_roles(request: HttpRequest) -> None:
    """Clear the cached roles; for the request in which somebody signs in."""
    request.__dict__.pop("user_roles", None)


def _read(request: HttpRequest) -> frozenset[str]:
    user = getattr(request, "user", None)
    if not isinstance(user, User) or is_restricted(request):
        return frozenset()
    return roles_of(user)
