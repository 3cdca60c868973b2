"""What the customer's private views share: the links a browser came in by, headers, the page for all others."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from orders.approvals.models import Link

_LINKS: Final = "quote_links"
#: Links one browser keeps: a planner has several couples.
_MOST: Final = 20

View = Callable[..., HttpResponse]


def private(view: View) -> View:
    """Keep a page out of caches, search engines and other sites' logs.

    The referrer stays on this site: without any, browsers send ``Origin: null`` with a form, and it is refused.
    The one address that holds a token only redirects, and sends none (the link login).
    """

    @wraps(view)
    def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        response["Cache-Control"] = "private, no-store"
        response.setdefault("Referrer-Policy", "same-origin")
        response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
        return response

    return answered


def links_of_session(request: HttpRequest) -> list[int]:
    """Return the links this browser came in by."""
    links = request.session.get(_LINKS, [])
    return [one for one in links if isinstance(one, int)] if isinstance(links, list) else []


def add_link_to_session(request: HttpRequest, link: Link) -> None:
    """Note in the session that this browser came in by a link; the token is not stored."""
    links = [one for one in links_of_session(request) if one != link.pk]
    if not request.user.is_authenticated:
        request.session.cycle_key()
    request.session[_LINKS] = [*links, link.pk][-_MOST:]


def no_such_quote_page(request: HttpRequest) -> HttpResponse:
    """Say the same to everybody whose link opens nothing, whatever the reason."""
    return render(request, "orders/approvals/no_quote_page.html", status=404)
