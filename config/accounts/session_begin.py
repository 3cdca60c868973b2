"""A session begins: with a new key, what its page of open sessions shows, and the browser known from now on."""

from django.contrib.auth import login
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from catalog.web.client_address import client_address
from config.accounts.devices import remember_device
from config.accounts.presenters import browser_words
from config.accounts.restricted import restrict
from config.accounts.second_factor import needs_second_factor, second_factor_of
from config.accounts.session_store import ADDRESS, BROWSER, SEEN_AT, SIGNED_IN_AT
from config.accounts.sign_in import signed_in
from config.navigation import home
from config.roles import forget_roles, roles_of_request


def session_begin(request: HttpRequest, user: User, target: str) -> HttpResponse:
    """Begin the session with a new key, and go on: to the page asked for, or to what must be set up first."""
    login(request, user)
    now = timezone.now()
    request.session[SIGNED_IN_AT] = request.session[SEEN_AT] = int(now.timestamp())
    request.session[BROWSER] = browser_words(request.headers.get("User-Agent", ""))
    request.session[ADDRESS] = client_address(request) or ""
    signed_in(user=user, at=now)
    if second_factor_of(user) is None and needs_second_factor(user):
        restrict(request)
    forget_roles(request)
    response = redirect(target or home(roles_of_request(request)))
    remember_device(request, response, user.get_username())
    return response
