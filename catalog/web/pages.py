"""Pages of long lists."""

from typing import Final

from django.http import HttpRequest

#: Rows of one page of a list.
SHOWN: Final = 50


def query_without_page(request: HttpRequest) -> str:
    """Return the address's query without the page, so that links to other pages keep the filter."""
    query = request.GET.copy()
    query.pop("page", None)
    text = query.urlencode()
    return f"{text}&" if text else ""
