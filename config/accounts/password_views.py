"""A new password by a link in a mail, for whoever forgot the old one."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.views import PasswordResetConfirmView
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from catalog.records.errors import TooManyTries
from catalog.throttle.services import try_take
from catalog.web.access import ANYBODY, allow
from catalog.web.client_address import counted_address
from config.accounts.devices import remember_device
from config.accounts.forms import AskLinkForm, NewPasswordForm
from config.accounts.invitations import invitation_tokens
from config.accounts.passwords import ASKED_FOR, ASKED_FROM, password_link_ask, password_set
from config.accounts.presenters import account_sentence


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
def password_forgotten(request: HttpRequest) -> HttpResponse:
    """Mail a link; the answer is the same whether or not anybody has this address."""
    form = AskLinkForm(request.POST if request.method == "POST" else None)
    status = 200
    if form.is_bound and form.is_valid():
        email, now = form.cleaned_data["email"], timezone.now()
        try:
            try_take(ASKED_FROM.of(counted_address(request)), ASKED_FOR.of(email.casefold()), at=now)
        except TooManyTries as brake:
            form.add_error(None, account_sentence(brake))
            status = 429
        else:
            password_link_ask(email=email, at=now)
            return redirect("password-asked")
    return render(request, "accounts/password_forgotten.html", {"form": form}, status=status)


@require_http_methods(["GET", "HEAD"])
@allow(ANYBODY)
def password_asked(request: HttpRequest) -> HttpResponse:
    """Say that a link is on its way if the address is known."""
    return render(request, "accounts/password_asked.html")


class PasswordSetView(PasswordResetConfirmView):
    """Takes the link's token into the session and redirects to an address without it; a POST sets the password."""

    template_name = "accounts/password_set.html"
    form_class = NewPasswordForm  # type: ignore[assignment]  # of the same shape: a user, then data
    success_url = reverse_lazy("sign-in")

    def dispatch(self, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Keep the address with the token out of other sites' logs."""
        response = super().dispatch(*args, **kwargs)
        response["Referrer-Policy"] = "same-origin" if kwargs["token"] == self.reset_url_token else "no-referrer"
        return response

    def form_valid(self, form: NewPasswordForm) -> HttpResponse:  # type: ignore[override]  # as above
        """Set the password; the browser is known from now on, because the mail's reader uses it."""
        password_set(user=form.user, password=form.cleaned_data["new_password"], at=timezone.now())
        self.request.session.pop("_password_reset_token", None)
        messages.success(self.request, gettext("Your password is set. Sign in with it."))
        response = redirect(str(self.success_url))
        remember_device(self.request, response, form.user.get_username())
        return response


class InvitationView(PasswordSetView):
    """Sets the first password of somebody the owner added."""

    token_generator = invitation_tokens
    extra_context = {"invitation": True}


invitation_view = allow(ANYBODY)(InvitationView.as_view())
password_set_view = allow(ANYBODY)(PasswordSetView.as_view())
