"""Which roles see costs and prices, and who may do what on a page that several roles share."""

from django.http import HttpRequest

from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER


def has_role(request: HttpRequest, *roles: str) -> bool:
    """Return whether the user has one of the roles; the access middleware has read them."""
    carried: frozenset[str] = getattr(request, "user_roles", frozenset())
    return bool(carried & set(roles))


def sees_costs(request: HttpRequest) -> bool:
    """Return whether the user sees costs and margins: the owner only."""
    return has_role(request, OWNER)


def sees_prices(request: HttpRequest) -> bool:
    """Return whether the user sees prices and payments; the kitchen role does not."""
    return has_role(request, OWNER, BOOKKEEPER)


def buttons(request: HttpRequest) -> dict[str, bool]:
    """Return which buttons a shared page has: those of production, and those of the owner."""
    return {"makes": has_role(request, OWNER, KITCHEN), "owner": has_role(request, OWNER)}
