"""The link login: it stores a private link in the session and redirects to the address without its token."""

from typing import Final

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_http_methods, require_safe

from catalog.web.access import ANYBODY, allow
from catalog.web.client_address import client_address
from orders.approvals.links import link_ask, link_opened
from orders.approvals.models import Link
from orders.approvals.private_views import add_link_to_session, no_such_quote_page, private
from orders.approvals.selectors import link_of

_EXPIRED: Final = "expired_link"
#: Wrong tokens allowed from one address, and how long it then has to wait. 256 bits cannot be guessed; this only saves
#: work.
GUESSES: Final = 30
GUESS_SECONDS: Final = 600


@sensitive_variables("token")
@require_http_methods(["GET", "HEAD"])
@allow(ANYBODY)
@private
def link_login(request: HttpRequest, token: str) -> HttpResponse:
    """Store a link in the session and redirect. HEAD and prefetch do nothing; a wrong token gets an error page."""
    if request.method == "HEAD" or _only_looking(request):
        return HttpResponse(status=204)
    if _guessed_too_often(request):
        return render(request, "orders/approvals/wait.html", status=429)
    link, now = link_of(token), timezone.now()
    if link is None or link.revoked_at is not None:
        _note_guess(request)
        response = no_such_quote_page(request)
    elif link.expires_at <= now:
        request.session[_EXPIRED] = link.pk
        response = redirect("link-expired")
    else:
        link_opened(link_id=link.pk, at=now)
        add_link_to_session(request, link)
        response = redirect("quote-page", quote_id=link.quote_id)
    response["Referrer-Policy"] = "no-referrer"
    return response


def _only_looking(request: HttpRequest) -> bool:
    purpose = request.headers.get("Sec-Purpose", "") + request.headers.get("Purpose", "")
    return "prefetch" in purpose.lower()


@require_safe
@allow(ANYBODY)
@private
def link_incomplete(request: HttpRequest) -> HttpResponse:
    """Explain what to do with a link that was cut off in the mail; no quote page has such an address."""
    return no_such_quote_page(request)


def _guess_key(request: HttpRequest) -> str:
    return f"link-guesses:{client_address(request)}"


def _guessed_too_often(request: HttpRequest) -> bool:
    return int(cache.get(_guess_key(request), 0)) >= GUESSES


def _note_guess(request: HttpRequest) -> None:
    key = _guess_key(request)
    if not cache.add(key, 1, GUESS_SECONDS):
        try:
            cache.incr(key)
        except ValueError:  # it expired between the two queries
            cache.set(key, 1, GUESS_SECONDS)


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def link_expired(request: HttpRequest) -> HttpResponse:
    """Explain a link that expired; on asking, mail a fresh one to the customer's own address."""
    known: int = request.session.get(_EXPIRED, 0)
    link = Link.objects.filter(pk=known, revoked_at=None).first()
    if link is None:
        return no_such_quote_page(request)
    if request.method == "POST":
        link_ask(quote_id=link.quote_id, at=timezone.now())
        return render(request, "orders/approvals/expired.html", {"asked": True})
    return render(request, "orders/approvals/expired.html", {"asked": False}, status=410)
