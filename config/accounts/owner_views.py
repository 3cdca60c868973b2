"""The owner's page of sign-in rules: which roles need two steps, who has them, and help for a lost phone."""

from django.contrib import messages
from django.contrib.auth.models import User
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from catalog.records.errors import Refusal
from catalog.records.people import person_name
from catalog.web.access import OWNER, allow
from config.accounts.forms import OwnPasswordForm, RoleRulesForm
from config.accounts.passwords import password_check
from config.accounts.person import person
from config.accounts.presenters import account_sentence, people_shown
from config.accounts.role_rules import role_rules_set
from config.accounts.second_factor import required_roles, second_factor_of, second_factor_reset
from config.accounts.sessions import person_sessions_end


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def sign_in_rules(request: HttpRequest) -> HttpResponse:
    """Show and change which roles must have two-step sign-in; list who has it."""
    user, now = person(request), timezone.now()
    data = request.POST if request.method == "POST" else None
    form = RoleRulesForm(data, initial={"roles": sorted(required_roles())})
    if form.is_bound and form.is_valid():
        try:
            password_check(user=user, password=form.cleaned_data["password"], at=now)
            count = role_rules_set(roles=frozenset(form.cleaned_data["roles"]), by=user, at=now)
        except Refusal as refusal:
            form.add_error(refusal.place or "password", account_sentence(refusal))
        else:
            saved = gettext("Saved.")
            if count:
                saved += " " + gettext("People who have none yet were signed out and set it up when they sign in.")
            messages.success(request, saved)
            return redirect("sign-in-rules")
    return render(request, "accounts/sign_in_rules.html", {"form": form, "people": people_shown()})


@require_POST
@allow(OWNER)
def person_sign_out(request: HttpRequest, pk: int) -> HttpResponse:
    """End all sessions of somebody, such as a person who lost a phone.

    Who has left could sign in again: that account is closed by ``manage.py account close``.
    """
    other, user = get_object_or_404(User, pk=pk), person(request)
    keep = request.session.session_key if other == user else None
    person_sessions_end(user=other, keep=keep, by=user.get_username(), at=timezone.now())
    note = (
        gettext("%(name)s is signed out of all other browsers.")
        if keep
        else gettext("%(name)s is signed out everywhere.")
    )
    messages.success(request, note % {"name": person_name(other)})
    return redirect("sign-in-rules")


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def two_step_reset(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove the second factor of somebody who lost phone and recovery codes."""
    other = get_object_or_404(User, pk=pk)
    if second_factor_of(other) is None:
        raise Http404
    user, now = person(request), timezone.now()
    form = OwnPasswordForm(request.POST if request.method == "POST" else None)
    name = person_name(other)
    if form.is_bound and form.is_valid():
        try:
            password_check(user=user, password=form.cleaned_data["password"], at=now)
            second_factor_reset(user=other, by=user.get_username(), at=now)
        except Refusal as refusal:
            form.add_error("password", account_sentence(refusal))
        else:
            messages.success(request, gettext("Two-step sign-in of %(name)s is reset.") % {"name": name})
            return redirect("sign-in-rules")
    return render(request, "accounts/two_step_reset.html", {"form": form, "name": name})
