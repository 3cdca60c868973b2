"""What every page gets: the kitchen as display knows it, and where one can go."""

from typing import Any

from django.http import HttpRequest

from catalog.web.display import current
from config.navigation import navigation
from config.roles import roles_of_request


def kitchen(request: HttpRequest) -> dict[str, Any]:
    """Give templates ``kitchen`` and ``navigation``."""
    return {"kitchen": current(), "navigation": navigation(request, roles_of_request(request))}
