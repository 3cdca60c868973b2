from typing import Any

from django.http import HttpRequest


def kitchen(request: HttpRequest) -> dict[str, Any]:
    return {}
