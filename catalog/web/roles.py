"""Which roles see costs and prices."""

from django.http import HttpRequest

from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER


def money_shown(request: HttpRequest) -> bool:
    """Return whether this person sees costs and prices: the owner only."""
    return OWNER in getattr(request, "user_roles", frozenset())


def has_role(request: HttpRequest, *roles: str) -> bool:
    """Return whether the user has one of the roles; the access middleware has read them."""
    carried: frozenset[str] = getattr(request, "user_roles", frozenset())
    return bool(carried & set(roles))


def sees_money(request: HttpRequest) -> bool:
    """Return whether the user sees prices and money; the kitchen role does not."""
    return has_role(request, OWNER, BOOKKEEPER)


def shows(request: HttpRequest) -> dict[str, bool]:
    """Return what a shared page shows: money, the buttons for production, the owner's buttons."""
    return {
        "money": sees_money(request),
        "makes": has_role(request, OWNER, KITCHEN),
        "owner": has_role(request, OWNER),
    }
