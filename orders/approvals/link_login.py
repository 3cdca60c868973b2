"""The door to the letter: a private link is swapped into the session, and the address without it is shown."""

from collections.abc import Callable
from functools import wraps
from ipaddress import ip_address
from typing import Any, Final

from django.conf import settings
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_http_methods, require_safe

from catalog.web.access import ANYBODY, allow
from orders.approvals.links import link_opened
from orders.approvals.mails import link_ask
from orders.approvals.models import Link
from orders.approvals.selectors import link_of

SESSION_KEY: Final = "letters"
RAN_OUT_KEY: Final = "letter_ran_out"
#: Links one browser keeps: a planner has several couples.
KEPT: Final = 20
#: Wrong tokens from one address before it has to wait, and for how long. Nobody guesses 256 bits; this saves work.
GUESSES: Final = 30
GUESS_SECONDS: Final = 600

View = Callable[..., HttpResponse]


def private(view: View) -> View:
    """Keep a page out of caches, search engines and other sites' logs.

    The referrer stays on this site: without any, browsers send ``Origin: null`` with a form, and it is refused.
    The one address that holds a token only redirects, and sends none (:func:`door`).
    """

    @wraps(view)
    def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        response["Cache-Control"] = "private, no-store"
        response.setdefault("Referrer-Policy", "same-origin")
        response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
        return response

    return answered


def client_ip(request: HttpRequest) -> str | None:
    """Return where the request comes from; the proxy's word counts only when the settings name a proxy."""
    forwarded = request.headers.get("X-Forwarded-For", "").rsplit(",", 1)[-1].strip()
    if getattr(settings, "SECURE_PROXY_SSL_HEADER", None) and forwarded:
        return _address(forwarded)
    return _address(request.META.get("REMOTE_ADDR", ""))


def _address(text: str) -> str | None:
    try:
        return str(ip_address(text))
    except ValueError:
        return None


def links_in(request: HttpRequest) -> list[int]:
    """Return the links this browser came in by."""
    kept = request.session.get(SESSION_KEY, [])
    return [one for one in kept if isinstance(one, int)] if isinstance(kept, list) else []


@sensitive_variables("token")
@require_http_methods(["GET", "HEAD"])
@allow(ANYBODY)
@private
def link_login(request: HttpRequest, token: str) -> HttpResponse:
    """Swap a link into the session. A look ahead (HEAD, prefetch) does nothing; a wrong token says only that."""
    if request.method == "HEAD" or _only_looking(request):
        return HttpResponse(status=204)
    if _guessed_too_often(request):
        return render(request, "orders/approvals/wait.html", status=429)
    link, now = link_of(token), timezone.now()
    if link is None or link.revoked_at is not None:
        _note_guess(request)
        response = no_such_quote_page(request)
    elif link.expires_at <= now:
        request.session[RAN_OUT_KEY] = link.pk
        response = redirect("link-ran-out")
    else:
        link_opened(link_id=link.pk, at=now)
        _let_in(request, link)
        response = redirect("quote-page", quote_id=link.quote_id)
    response["Referrer-Policy"] = "no-referrer"
    return response


def _only_looking(request: HttpRequest) -> bool:
    purpose = request.headers.get("Sec-Purpose", "") + request.headers.get("Purpose", "")
    return "prefetch" in purpose.lower()


def _let_in(request: HttpRequest, link: Link) -> None:
    links = [one for one in links_in(request) if one != link.pk]
    if not request.user.is_authenticated:
        request.session.cycle_key()
    request.session[SESSION_KEY] = [*links, link.pk][-KEPT:]


def no_such_quote_page(request: HttpRequest) -> HttpResponse:
    """Say the same to everybody whose link opens nothing, whatever the reason."""
    return render(request, "orders/approvals/no_quote_page.html", status=404)


@require_safe
@allow(ANYBODY)
@private
def cut(request: HttpRequest) -> HttpResponse:
    """Tell who comes by a link that lost a part on its way what to do; no letter has such an address."""
    return no_such_quote_page(request)


def _guess_key(request: HttpRequest) -> str:
    return f"letter-guesses:{client_ip(request)}"


def _guessed_too_often(request: HttpRequest) -> bool:
    return int(cache.get(_guess_key(request), 0)) >= GUESSES


def _note_guess(request: HttpRequest) -> None:
    key = _guess_key(request)
    if not cache.add(key, 1, GUESS_SECONDS):
        try:
            cache.incr(key)
        except ValueError:  # it ran out between the two
            cache.set(key, 1, GUESS_SECONDS)


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def ran_out(request: HttpRequest) -> HttpResponse:
    """Explain a link that ran out; on asking, mail a fresh one to the customer's own address."""
    known: int = request.session.get(RAN_OUT_KEY, 0)
    link = Link.objects.filter(pk=known, revoked_at=None).first()
    if link is None:
        return no_such_quote_page(request)
    if request.method == "POST":
        link_ask(quote_id=link.quote_id, at=timezone.now())
        return render(request, "orders/approvals/expired.html", {"asked": True})
    return render(request, "orders/approvals/expired.html", {"asked": False}, status=410)
