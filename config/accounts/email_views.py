"""A person's e-mail address: changed, and confirmed by the link in a mail to the new one."""

from typing import Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from catalog.records.errors import Refusal
from catalog.web.access import ANYBODY, ROLES, allow
from config.accounts.emails import email_ask, email_confirm, email_link_of
from config.accounts.errors import LinkUsedUp
from config.accounts.forms import EmailForm
from config.accounts.passwords import password_check
from config.accounts.person import person
from config.accounts.presenters import account_sentence

#: Stands in the address in place of the token, which the session holds after the first visit.
HELD: Final = "confirm"
_SESSION: Final = "_email_token"


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(*ROLES)
def account_email(request: HttpRequest) -> HttpResponse:
    """Ask for another e-mail address."""
    user, now = person(request), timezone.now()
    form = EmailForm(request.POST if request.method == "POST" else None, initial={"email": user.email})
    if form.is_bound and form.is_valid():
        try:
            password_check(user=user, password=form.cleaned_data["password"], at=now)
            sent = email_ask(user=user, email=form.cleaned_data["email"], at=now)
        except Refusal as refusal:
            form.add_error(refusal.place or None, account_sentence(refusal))
        else:
            note = (
                gettext("Open the mail we sent to the new address and confirm it.")
                if sent
                else gettext("Your e-mail address was not changed.")
            )
            messages.success(request, note)
            return redirect("account")
    return render(request, "accounts/email.html", {"form": form, "person": user})


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
def email_confirm_page(request: HttpRequest, uidb64: str, token: str) -> HttpResponse:
    """Take the link's token into the session and go to an address without it; a POST confirms the new address.

    A mail scanner that opens the link confirms nothing.
    """
    if token != HELD:
        if request.method == "GET" and email_link_of(uidb64, token, at=timezone.now()):
            request.session[_SESSION] = token
            response: HttpResponse = redirect("email-confirm", uidb64=uidb64, token=HELD)
        else:
            response = render(request, "accounts/email_confirm.html", {"found": None}, status=410)
        response["Referrer-Policy"] = "no-referrer"
        return response
    held = request.session.get(_SESSION, "")
    if request.method == "POST":
        return _confirm(request, uidb64, held)
    found = email_link_of(uidb64, held, at=timezone.now())
    return render(request, "accounts/email_confirm.html", {"found": found}, status=200 if found else 410)


def _confirm(request: HttpRequest, uidb64: str, token: str) -> HttpResponse:
    try:
        user = email_confirm(person=uidb64, token=token, at=timezone.now())
    except LinkUsedUp:
        return render(request, "accounts/email_confirm.html", {"found": None}, status=410)
    request.session.pop(_SESSION, None)
    messages.success(request, gettext("%(address)s is confirmed.") % {"address": user.email})
    return redirect("account" if request.user == user else "sign-in")
