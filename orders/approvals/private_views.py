"""Common parts of the customer's private views: links in the session, response headers, the page for everybody else."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from orders.approvals.models import Link

_LINKS: Final = "quote_links"
_NAMES: Final = "approval_names"
#: Longest name that is remembered, as in the form.
_LONGEST_NAME: Final = 120
#: Most links in one session: an event planner has several customers.
_MOST: Final = 20

View = Callable[..., HttpResponse]


def private(view: View) -> View:
    """Wrap a view so that its page stays out of caches, search engines and other sites' logs.

    The referrer is sent to this site only: without any, browsers send ``Origin: null`` with a form, and it is refused.
    The link login, the one address with a token, only redirects and sends no referrer.
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
    """Return the links stored in this session."""
    links = request.session.get(_LINKS, [])
    return [one for one in links if isinstance(one, int)] if isinstance(links, list) else []


def add_link_to_session(request: HttpRequest, link: Link) -> None:
    """Store a link's primary key in the session; the token is not stored."""
    links = [one for one in links_of_session(request) if one != link.pk]
    if not request.user.is_authenticated:
        request.session.cycle_key()
    request.session[_LINKS] = [*links, link.pk][-_MOST:]


def name_of_session(request: HttpRequest, quote_id: int) -> str:
    """Return the name that was entered on the page to approve before its reader went back to the quote."""
    return str(request.session.get(_NAMES, {}).get(str(quote_id), ""))


def name_to_session(request: HttpRequest, quote_id: int, name: str) -> None:
    """Remember the name that was entered so far."""
    request.session[_NAMES] = {**request.session.get(_NAMES, {}), str(quote_id): name[:_LONGEST_NAME]}


def name_forgotten(request: HttpRequest, quote_id: int) -> None:
    """Forget the name once the quote is answered."""
    request.session[_NAMES] = {
        quote: name for quote, name in request.session.get(_NAMES, {}).items() if quote != str(quote_id)
    }


def no_such_quote_page(request: HttpRequest) -> HttpResponse:
    """Return the same page for every link that opens nothing, whatever the reason."""
    return render(request, "orders/approvals/no_quote_page.html", status=404)
