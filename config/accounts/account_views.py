"""Your account: password, sessions."""

from datetime import datetime

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.records.errors import Refusal
from catalog.web.access import ROLES, allow
from config.accounts.emails import new_email_of
from config.accounts.forms import ChangePasswordForm
from config.accounts.passwords import password_change, password_check
from config.accounts.person import person
from config.accounts.presenters import account_sentence, limits_of_session
from config.accounts.second_factor import needs_second_factor, recovery_codes_left, second_factor_of
from config.accounts.sessions import other_sessions_end, session_end, session_number, sessions_of


@require_safe
@allow(*ROLES)
def account(request: HttpRequest) -> HttpResponse:
    """Show the person's e-mail, password, second factor and sessions."""
    user, now = person(request), timezone.now()
    here = request.session.session_key
    sessions = [(one, session_number(one.session_key), one.session_key == here) for one in sessions_of(user, at=now)]
    context = {
        "person": user,
        "new_email": new_email_of(user, at=now),
        "factor": second_factor_of(user),
        "codes_left": recovery_codes_left(user),
        "required": needs_second_factor(user),
        "sessions": sorted(sessions, key=lambda row: not row[2]),
        "limits": limits_of_session(),
    }
    return render(request, "accounts/account.html", context)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@allow(*ROLES)
def account_password(request: HttpRequest) -> HttpResponse:
    """Change the password, and end all other sessions."""
    user, now = person(request), timezone.now()
    form = ChangePasswordForm(user, request.POST if request.method == "POST" else None)
    if form.is_bound and _is_sound(form, user, now):
        key = request.session.session_key
        password_change(user=user, password=form.cleaned_data["new_password"], session_key=key, at=now)
        update_session_auth_hash(request, user)
        messages.success(request, gettext("Your password is changed. All other browsers are signed out."))
        return redirect("account")
    return render(request, "accounts/password.html", {"form": form, "person": user})


def _is_sound(form: ChangePasswordForm, user: User, at: datetime) -> bool:
    """Return whether the new password can be set; the current one is checked whatever is wrong with the new one."""
    form.full_clean()
    if form.cleaned_data.get("password"):
        try:
            password_check(user=user, password=form.cleaned_data["password"], at=at)
        except Refusal as refusal:
            form.add_error("password", account_sentence(refusal))
    return form.is_valid()


@require_POST
@allow(*ROLES)
def account_session_end(request: HttpRequest) -> HttpResponse:
    """End one session."""
    ended = session_end(user=person(request), number=request.POST.get("session", ""), at=timezone.now())
    messages.success(
        request, gettext("That browser is signed out.") if ended else gettext("That browser was signed out already.")
    )
    return redirect("account")


@require_POST
@allow(*ROLES)
def account_sessions_end(request: HttpRequest) -> HttpResponse:
    """End all sessions but this one."""
    count = other_sessions_end(user=person(request), session_key=request.session.session_key, at=timezone.now())
    messages.success(
        request, gettext("All other browsers are signed out.") if count else gettext("No other browser is signed in.")
    )
    return redirect("account")
