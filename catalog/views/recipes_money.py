"""Who sees costs and prices."""

from django.http import HttpRequest

from catalog.access import OWNER


def money_shown(request: HttpRequest) -> bool:
    """Return whether this person sees costs and prices: the owner only."""
    return OWNER in getattr(request, "user_roles", frozenset())
