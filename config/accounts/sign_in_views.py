"""The pages of signing in and out."""

from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from catalog.records.errors import TooManyTries
from catalog.web.access import ANYBODY, allow
from catalog.web.client_address import counted_address
from catalog.web.display import clock
from config.accounts.devices import known_device, remember_device
from config.accounts.forms import SignInForm
from config.accounts.sign_in import sign_in
from config.navigation import home
from config.roles import forget_roles, roles_of_request


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
    if user is not None:
        return _signed_in(request, user, _next(request))
    return render(request, "accounts/sign_in.html", {"form": form, "next": _next(request)}, status=status)


def _first_step(request: HttpRequest, form: SignInForm) -> tuple[int, User | None]:
    """Return the response's status and the user; add what is wrong to the form."""
    name, password = form.cleaned_data["username"], form.cleaned_data["password"]
    address, device = counted_address(request), known_device(request, name)
    try:
        user = sign_in(
            request=request, username=name, password=password, address=address, device=device, at=timezone.now()
        )
    except TooManyTries as brake:
        form.add_error(None, f"Too many tries. Wait until {clock(brake.until)}, then try again.")
        return 429, None
    if user is None:
        form.add_error(None, "This name and password do not fit together. Check both and try again.")
    return 200, user


def _signed_in(request: HttpRequest, user: User, target: str) -> HttpResponse:
    """Begin the session, and go on to the page asked for."""
    login(request, user)
    forget_roles(request)
    response = redirect(target or home(roles_of_request(request)))
    remember_device(request, response, user.get_username())
    return response


@allow(ANYBODY)
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect("sign-in")
