"""The owner's page of sign-in rules: which roles need two steps."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from catalog.records.errors import Refusal
from catalog.web.access import OWNER, allow
from config.accounts.forms import RoleRulesForm
from config.accounts.passwords import password_check
from config.accounts.person import person
from config.accounts.presenters import account_sentence
from config.accounts.role_rules import role_rules_set
from config.accounts.second_factor import required_roles


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def sign_in_rules(request: HttpRequest) -> HttpResponse:
    """Show and change which roles must have two-step sign-in."""
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
    return render(request, "accounts/sign_in_rules.html", {"form": form})
