"""Pages of long lists."""

from django.http import HttpRequest


def query_without_page(request: HttpRequest) -> str:
    """Return the address's query without the page, so that links to other pages keep the filter."""
    query = request.GET.copy()
    query.pop("page", None)
    text = query.urlencode()
    return f"{text}&" if text else ""
