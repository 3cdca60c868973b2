"""In what order a list is shown: a choice beside its search, read from the address."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest


def sorting(request: HttpRequest, names: Mapping[str, Any]) -> dict[str, Any]:
    """Return what ``parts/sort.html`` shows: the chosen order, ``sort``, and the names of all; the first is usual."""
    asked = request.GET.get("sort", "")
    return {"sort": asked if asked in names else next(iter(names)), "sorts": list(names.items())}
