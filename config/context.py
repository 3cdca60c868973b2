"""What every page gets: the kitchen as display knows it, and where one can go."""

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from catalog.web.display import current
from config.navigation import navigation
from config.roles import roles_of_request


def kitchen(request: HttpRequest) -> dict[str, Any]:
    """Give templates ``kitchen`` and ``navigation``."""
    # A fragment has no navigation: it is made where a template asks for it.
    lazily = SimpleLazyObject(lambda: navigation(request, roles_of_request(request)))
    return {"kitchen": current(), "navigation": lazily}
