"""The first page of a new kitchen: who its owner is, and in which country."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from catalog.kitchen.views import COUNTRY_CHOSEN
from catalog.records.errors import Refusal
from catalog.web.access import ANYBODY, allow
from config.accounts.first_owner import first_owner_add, set_up_link_works
from config.accounts.presenters import account_sentence
from config.accounts.session_begin import session_begin
from config.accounts.set_up_forms import FirstOwnerForm


@sensitive_post_parameters("new_password", "new_password_again")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
def set_up(request: HttpRequest, token: str) -> HttpResponse:
    """Add the first owner, who is signed in and goes on to the kitchen's profile as is usual in the country."""
    form = FirstOwnerForm(request.POST if request.method == "POST" else None)
    works = set_up_link_works(token)
    if works and form.is_bound and form.is_valid():
        data = form.cleaned_data
        try:
            user = first_owner_add(
                username=data["username"], name=data["name"], password=data["new_password"], at=timezone.now()
            )
        except Refusal as refusal:
            form.add_error(refusal.place or None, account_sentence(refusal))
        else:
            profile = f"{reverse('kitchen-profile')}?{urlencode({'country': data['country']})}"
            response = session_begin(request, user, profile)
            request.session[COUNTRY_CHOSEN] = data["country"]
            return _without_address(response)
    context = {"form": form, "works": works}
    return _without_address(render(request, "accounts/set_up.html", context, status=200 if works else 404))


def _without_address(response: HttpResponse) -> HttpResponse:
    """Keep the link out of other sites' logs."""
    response["Referrer-Policy"] = "same-origin"
    return response
