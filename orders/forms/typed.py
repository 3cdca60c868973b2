"""What a page's form was sent."""

from django.http import HttpRequest, QueryDict


def typed(request: HttpRequest) -> QueryDict | None:
    """Return what was typed, empty or not, of a form that was sent; None where the page is only opened."""
    return request.POST if request.method == "POST" else None
