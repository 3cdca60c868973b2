"""Forms and pages of long lists."""

from django.http import HttpRequest, QueryDict


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what a form sent, even when that is nothing; None when it is only looked at."""
    return request.POST if request.method == "POST" else None


def query_without_page(request: HttpRequest) -> str:
    """Return the address's query without the page, so that links to other pages keep the filter."""
    query = request.GET.copy()
    query.pop("page", None)
    text = query.urlencode()
    return f"{text}&" if text else ""
