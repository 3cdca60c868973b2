"""Two-step sign-in of one's own account: set up, on a new phone too, new recovery codes, off."""

from collections.abc import Callable, Mapping

import pyotp
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from catalog.records.errors import Refusal
from catalog.web.access import ROLES, allow
from catalog.web.display import current
from config.accounts.errors import NothingToConfirm
from config.accounts.forms import FirstCodeForm, OwnPasswordForm
from config.accounts.passwords import password_check
from config.accounts.person import person
from config.accounts.presenters import account_sentence, in_groups, qr_picture
from config.accounts.restricted import before_set_up, is_restricted, release
from config.accounts.second_factor import (
    needs_second_factor,
    recovery_codes_left,
    recovery_codes_renew,
    second_factor_begin,
    second_factor_confirm,
    second_factor_of,
    second_factor_off,
    secret_to_scan,
)
from config.navigation import home
from config.roles import forget_roles, roles_of_request


@before_set_up
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(*ROLES)
def two_step(request: HttpRequest) -> HttpResponse:
    """Say what it is, and begin to set it up after the password."""
    user = person(request)

    def begin() -> HttpResponse:
        second_factor_begin(user=user, at=timezone.now())
        return redirect("two-step-set-up")

    context = {
        "factor": second_factor_of(user),
        "codes_left": recovery_codes_left(user),
        "required": needs_second_factor(user),
        "restricted": is_restricted(request),
    }
    return _after_password(request, "accounts/two_step.html", begin, context)


@before_set_up
@sensitive_post_parameters("one_time_code")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(*ROLES)
def two_step_set_up(request: HttpRequest) -> HttpResponse:
    """Show the secret to scan; after its first code, show the recovery codes, once."""
    user, now = person(request), timezone.now()
    try:
        secret = secret_to_scan(user, at=now)
    except NothingToConfirm:
        return redirect("two-step")
    form = FirstCodeForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            code, here = form.cleaned_data["one_time_code"], request.session.session_key
            codes = second_factor_confirm(user=user, code=code, session_key=here, at=now)
        except Refusal as refusal:
            form.add_error("one_time_code", account_sentence(refusal))
        else:
            release(request)
            forget_roles(request)
            return _codes_shown(request, codes, ended=True)
    address = pyotp.TOTP(secret, name=user.get_username(), issuer=current().name).provisioning_uri()
    context = {"form": form, "picture": qr_picture(address), "secret": in_groups(secret), "address": address}
    return render(request, "accounts/two_step_set_up.html", context)


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(*ROLES)
def two_step_codes(request: HttpRequest) -> HttpResponse:
    """Make new recovery codes after the password, and show them, once."""
    user = person(request)
    if second_factor_of(user) is None:
        return redirect("two-step")

    def renew() -> HttpResponse:
        return _codes_shown(request, recovery_codes_renew(user=user, at=timezone.now()))

    return _after_password(request, "accounts/two_step_codes.html", renew, {"codes_left": recovery_codes_left(user)})


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(*ROLES)
def two_step_off(request: HttpRequest) -> HttpResponse:
    """Turn it off after the password."""
    user = person(request)
    if second_factor_of(user) is None:
        return redirect("two-step")

    def turn_off() -> HttpResponse:
        second_factor_off(user=user, at=timezone.now())
        messages.success(request, gettext("Two-step sign-in is off. Your password alone signs you in."))
        return redirect("account")

    return _after_password(request, "accounts/two_step_off.html", turn_off, {"required": needs_second_factor(user)})


def _after_password(
    request: HttpRequest, template: str, act: Callable[[], HttpResponse], context: Mapping[str, object]
) -> HttpResponse:
    """Ask for the person's password, then act; show a refusal at the password."""
    form = OwnPasswordForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            password_check(user=person(request), password=form.cleaned_data["password"], at=timezone.now())
            return act()
        except Refusal as refusal:
            form.add_error("password", account_sentence(refusal))
    return render(request, template, {"form": form, **context})


def _codes_shown(request: HttpRequest, codes: list[str], *, ended: bool = False) -> HttpResponse:
    """Show recovery codes in the answer to the form itself: they are stored hashed, so no other page can show them.

    ``ended`` says that all other sessions were ended.
    """
    context = {"codes": codes, "go_on": home(roles_of_request(request)), "ended": ended}
    return render(request, "accounts/recovery_codes.html", context)
