"""The pages of signing in, in one step or two, and out."""

from datetime import timedelta
from typing import Any, Final

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from catalog.records.errors import TooManyTries
from catalog.web.access import ANYBODY, allow
from catalog.web.client_address import counted_address
from config.accounts.devices import known_device
from config.accounts.errors import WrongCode
from config.accounts.first_owner import an_owner_exists
from config.accounts.forms import CodeForm, SignInForm
from config.accounts.presenters import account_sentence
from config.accounts.second_factor import recovery_codes_left, second_factor_of
from config.accounts.session_begin import session_begin
from config.accounts.sign_in import second_step, sign_in
from config.navigation import home
from config.roles import roles_of_request

_SECOND_STEP: Final = "second_step"
#: How long the second step may take.
SECOND_STEP_WITHIN: Final = timedelta(minutes=10)


def _next(request: HttpRequest) -> str:
    """Return the requested next page, on this site only."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    return wanted if url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure()) else ""


@allow(ANYBODY)
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_page(request: HttpRequest) -> HttpResponse:
    """Ask for name and password."""
    if request.user.is_authenticated:
        return redirect(home(roles_of_request(request)))
    form = SignInForm(request.POST if request.method == "POST" else None)
    status, user = _first_step(request, form) if form.is_bound and form.is_valid() else (200, None)
    if user is None:
        context = {"form": form, "next": _next(request), "nobody_yet": not an_owner_exists()}
        return render(request, "accounts/sign_in.html", context, status=status)
    if second_factor_of(user) is None:
        request.session.pop(_SECOND_STEP, None)
        return session_begin(request, user, _next(request))
    now = int(timezone.now().timestamp())
    waiting = {"user": user.pk, "hash": user.get_session_auth_hash(), "at": now, "next": _next(request)}
    # A new key for the second step too: somebody may have placed the old one in this browser.
    request.session.cycle_key()
    request.session[_SECOND_STEP] = waiting
    return redirect("sign-in-code")


def _first_step(request: HttpRequest, form: SignInForm) -> tuple[int, User | None]:
    """Return the response's status and the user; add what is wrong to the form."""
    name, password = form.cleaned_data["username"], form.cleaned_data["password"]
    address, device = counted_address(request), known_device(request, name)
    try:
        user = sign_in(
            request=request, username=name, password=password, address=address, device=device, at=timezone.now()
        )
    except TooManyTries as brake:
        form.add_error(None, account_sentence(brake))
        return 429, None
    if user is None:
        form.add_error(None, gettext("The user name or the password is wrong. Check both and try again."))
    return 200, user


@allow(ANYBODY)
@sensitive_post_parameters("one_time_code")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_code_page(request: HttpRequest) -> HttpResponse:
    """Ask for the code of the authenticator app, or for a recovery code."""
    waiting: dict[str, Any] = request.session.get(_SECOND_STEP, {})
    user = _waiting_user(waiting)
    if user is None:
        request.session.pop(_SECOND_STEP, None)
        return redirect("sign-in")
    form = CodeForm(request.POST if request.method == "POST" else None)
    status = 200
    if form.is_bound and form.is_valid():
        try:
            recovery = _second_step(request, user, form.cleaned_data["one_time_code"])
        except (TooManyTries, WrongCode) as refusal:
            form.add_error("one_time_code", account_sentence(refusal))
            status = 429 if isinstance(refusal, TooManyTries) else 200
        else:
            return _two_steps_done(request, user, waiting["next"], recovery=recovery)
    return render(request, "accounts/sign_in_code.html", {"form": form}, status=status)


def _waiting_user(waiting: dict[str, Any]) -> User | None:
    """Return who has entered name and password, unless that is too long ago or the password changed since."""
    if not waiting or timezone.now().timestamp() - waiting["at"] > SECOND_STEP_WITHIN.total_seconds():
        return None
    user = User.objects.filter(pk=waiting["user"], is_active=True).first()
    return user if user and constant_time_compare(user.get_session_auth_hash(), waiting["hash"]) else None


def _second_step(request: HttpRequest, user: User, code: str) -> bool:
    device = known_device(request, user.get_username())
    return second_step(user=user, code=code, device=device, at=timezone.now())


def _two_steps_done(request: HttpRequest, user: User, target: str, *, recovery: bool) -> HttpResponse:
    request.session.pop(_SECOND_STEP, None)
    response = session_begin(request, user, target)
    if recovery:
        left = recovery_codes_left(user)
        messages.warning(
            request,
            f"That recovery code is used up; {left} {'is' if left == 1 else 'are'} left. "
            "Lost your phone? Set up two-step sign-in on the new one, on your account page.",
        )
    return response


@allow(ANYBODY)
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    logout(request)
    messages.success(request, gettext("You are signed out."))
    return redirect("sign-in")
