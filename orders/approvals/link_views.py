"""The link login: it stores a private link in the session and redirects to the address without its token."""

from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_http_methods, require_safe

from catalog.records.errors import TooManyTries
from catalog.throttle.services import Budget, try_take
from catalog.web.access import ANYBODY, allow
from catalog.web.client_address import counted_address
from orders.approvals.links import link_ask, link_opened
from orders.approvals.models import Link
from orders.approvals.private_views import add_link_to_session, no_such_quote_page, private
from orders.approvals.selectors import link_of

_EXPIRED: Final = "expired_link"
#: Wrong tokens from one address. 256 bits cannot be guessed, so this only saves work: a right token always opens.
GUESSES: Final = Budget("link", free=30)


@sensitive_variables("token")
@require_http_methods(["GET", "HEAD"])
@allow(ANYBODY)
@private
def link_login(request: HttpRequest, token: str) -> HttpResponse:
    """Store a link in the session and redirect. HEAD and prefetch do nothing; a wrong token gets an error page."""
    if request.method == "HEAD" or _only_looking(request):
        return HttpResponse(status=204)
    link, now = link_of(token), timezone.now()
    if link is None or link.revoked_at is not None:
        response = _no_such_link(request)
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


def _no_such_link(request: HttpRequest) -> HttpResponse:
    """Return the page of a wrong link; after many of them, the page that asks to wait."""
    try:
        try_take(GUESSES.of(counted_address(request)), at=timezone.now())
    except TooManyTries:
        return render(request, "orders/approvals/wait.html", status=429)
    return no_such_quote_page(request)


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
