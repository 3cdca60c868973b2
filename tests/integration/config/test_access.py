"""Who may open what: every route of the URLconf with every actor. A new route is tested without a line here."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client
from django.urls import resolve

from catalog.web.access import ANYBODY, BOOKKEEPER, KITCHEN, OWNER, ROLES, allow
from tests.integration.config.routes import Route, routes

pytestmark = pytest.mark.django_db

ROUTES = routes()
ACTORS = ("nobody", "no role", *ROLES, "superuser")
As = Callable[[str], Client]

#: What each part of the service may be open to at most. A route outside these parts fails.
POLICY = {
    "/q/": {ANYBODY},
    # Named by the hash of what is in them: whoever knows it has seen a page with the picture.
    "/pictures/": {ANYBODY},
    "/money/": {OWNER, BOOKKEEPER},
    "/orders/": {OWNER, KITCHEN, BOOKKEEPER},
    "/sheets/": {OWNER, KITCHEN},
    "/catalog/": {OWNER, KITCHEN},
    "/kitchen/": {OWNER},
    "/inquiries/": {OWNER},
    "/quotes/": {OWNER},
    "/mail/": {OWNER},
    "/reminders/": {OWNER},
    "/account/": {OWNER, KITCHEN, BOOKKEEPER},
    "/password/": {ANYBODY},
    "/email/": {ANYBODY},
    "/invitation/": {ANYBODY},
    "/set-up/": {ANYBODY},
}
#: Addresses of their own.
SINGLE = {
    "day": {OWNER, KITCHEN, BOOKKEEPER},
    "messages-unread": {OWNER},
    "sign-in": {ANYBODY},
    "sign-in-code": {ANYBODY},
    "sign-out": {ANYBODY},
    "cautions": {ANYBODY},
    "health": {ANYBODY},
    "health-live": {ANYBODY},
    "health-ready": {ANYBODY},
    "robots": {ANYBODY},
    "favicon": {ANYBODY},
}


@pytest.fixture
def signed_in(client: Client, settings: Any, tmp_path: Path) -> As:
    """Return a client of an actor; the service has a folder to write in, else it is not ready."""
    settings.VAR_DIR = tmp_path

    def as_actor(actor: str) -> Client:
        client.logout()
        if actor == "nobody":
            return client
        user = User.objects.create_user(f"{actor} person", is_staff=actor == "superuser")
        if actor == "superuser":
            user.is_superuser = True
            user.save()
        elif actor in ROLES:
            user.groups.add(Group.objects.get_or_create(name=actor)[0])
        client.force_login(user)
        return client

    return as_actor


def _may(actor: str, route: Route) -> bool:
    carried = {OWNER} if actor == "superuser" else {actor}
    return ANYBODY in route.roles or bool(route.roles & carried)


def test_the_walk_finds_the_service() -> None:
    names = {route.name for route in ROUTES}
    assert {"sign-in", "health", "day", "ingredients", "money-register"} <= names


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.path)
def test_the_walk_writes_addresses_that_lead_to_the_view(route: Route) -> None:
    assert resolve(route.path, urlconf="config.urls").func is route.view


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.path)
def test_a_route_names_who_may_open_it_within_the_policy(route: Route) -> None:
    most = SINGLE.get(route.name) or next((most for part, most in POLICY.items() if route.path.startswith(part)), None)
    assert most is not None, "name the part of the service this route belongs to"
    assert route.roles
    assert route.roles <= most


@pytest.mark.parametrize("actor", ACTORS)
def test_every_route_opens_to_its_roles_and_to_nobody_else(signed_in: As, actor: str) -> None:
    client = signed_in(actor)
    client.raise_request_exception = False
    wrong = []
    for route in ROUTES:
        if route.name in {"sign-out", "sign-in", "sign-in-code"}:
            continue
        for method in (client.get, client.post):
            answer = method(route.path)
            away = answer.status_code == 302 and answer["Location"].startswith("/sign-in")
            shut = answer.status_code == 403 or away
            if _may(actor, route):
                fine = not shut and answer.status_code < 500
            else:
                fine = away if actor == "nobody" else answer.status_code == 403
            if not fine:
                wrong.append((route.path, method.__name__, answer.status_code))
    assert wrong == []


@pytest.mark.urls("tests.browser.specimen.urls")
@pytest.mark.parametrize("actor", ACTORS)
def test_a_view_without_a_mark_is_open_to_nobody(signed_in: As, actor: str) -> None:
    answer = signed_in(actor).get("/specimen/for-nobody")
    assert answer.status_code == (302 if actor == "nobody" else 403)
    assert b"never seen" not in answer.content


@pytest.mark.urls("tests.browser.specimen.urls")
def test_somebody_of_another_role_reads_whose_page_it_is(signed_in: As) -> None:
    page = signed_in(KITCHEN).get("/specimen/for-owner").content.decode()
    assert "It is for the owner." in page
    page = signed_in(OWNER).get("/specimen/for-two").content.decode()
    assert "It is for the kitchen and the bookkeeper." in page


@pytest.mark.urls("tests.browser.specimen.urls")
def test_somebody_not_signed_in_comes_back_to_the_page_after_signing_in(client: Client) -> None:
    answer = client.get("/specimen/for-owner?tab=2")
    assert answer["Location"] == "/sign-in?next=/specimen/for-owner%3Ftab%3D2"


@pytest.mark.urls("tests.browser.specimen.urls")
def test_a_part_of_a_page_whose_session_ended_takes_the_whole_page_to_the_sign_in(client: Client) -> None:
    headers = {"HX-Request": "true", "HX-Current-URL": "http://testserver/inquiries/?page=2"}
    answer = client.get("/specimen/for-owner", headers=headers)
    assert answer.status_code == 200
    assert answer["HX-Redirect"] == "/sign-in?next=/inquiries/%3Fpage%3D2"
    assert answer.content == b""


@pytest.mark.urls("tests.browser.specimen.urls")
def test_a_part_that_names_no_address_as_its_page_leads_to_the_first_page_after_signing_in(client: Client) -> None:
    headers = {"HX-Request": "true", "HX-Current-URL": "http://[::1"}
    answer = client.get("/specimen/for-owner", headers=headers)
    assert answer["HX-Redirect"].startswith("/sign-in?next=/")


def test_a_form_that_works_while_typing_stays_on_the_page_after_signing_out(client: Client) -> None:
    answer = client.post("/inquiries/new/", {"title": "Wedding"}, headers={"HX-Request": "true"})
    assert answer.status_code == 401
    assert "HX-Redirect" not in answer.headers
    assert answer.content.decode() == "You are signed out."


@pytest.mark.parametrize("actor", ["nobody", OWNER])
def test_pages_are_never_cached(signed_in: As, actor: str) -> None:
    client = signed_in(actor)
    for address in ("/sign-in", "/cautions", "/", "/nowhere"):
        assert "no-store" in client.get(address)["Cache-Control"]


def test_a_mark_for_a_role_that_does_not_exist_is_refused() -> None:
    with pytest.raises(ValueError, match="name roles"):
        allow("chef")
    with pytest.raises(ValueError, match="name roles"):
        allow()
