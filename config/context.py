"""Template context of every page: the kitchen's display settings, and the navigation."""

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from catalog.web.display import current
from config.navigation import navigation
from config.roles import roles_of_request


def kitchen(request: HttpRequest) -> dict[str, Any]:
    """Return ``kitchen`` and ``navigation`` for templates."""
    # A fragment has no navigation: it is built only if a template uses it.
    lazily = SimpleLazyObject(lambda: navigation(request, roles_of_request(request)))
    return {"kitchen": current(), "navigation": lazily}
