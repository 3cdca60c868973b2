"""Who sees costs and prices."""

from django.http import HttpRequest

from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER


def money_shown(request: HttpRequest) -> bool:
    """Return whether this person sees costs and prices: the owner only."""
    return OWNER in getattr(request, "user_roles", frozenset())


def has_role(request: HttpRequest, *roles: str) -> bool:
    """Tell whether the request carries one of the roles; the access middleware read them."""
    carried: frozenset[str] = getattr(request, "user_roles", frozenset())
    return bool(carried & set(roles))


def sees_money(request: HttpRequest) -> bool:
    """The kitchen sees no prices and no money."""
    return has_role(request, OWNER, BOOKKEEPER)


def shows(request: HttpRequest) -> dict[str, bool]:
    """Say what a shared page shows: money, the work's buttons, the owner's."""
    return {
        "money": sees_money(request),
        "makes": has_role(request, OWNER, KITCHEN),
        "owner": has_role(request, OWNER),
    }
