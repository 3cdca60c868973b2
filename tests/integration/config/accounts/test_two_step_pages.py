"""Two-step sign-in in the pages: set up, signing in with it, required for a role, reset by the owner."""

import html
import re
from datetime import timedelta

import pyotp
import pytest
from django.test import Client
from django.utils import timezone

from catalog.web.access import BOOKKEEPER, KITCHEN
from config.accounts import sign_in_views
from config.accounts.models import BrowserSession, SecondFactor
from config.accounts.role_rules import role_rules_set
from config.accounts.second_factor import recovery_codes_left, second_factor_of
from tests.integration.config.accounts.people import PASSWORD, person_make, phone_code, second_factor_make

pytestmark = pytest.mark.django_db
NAME = {"username": "ida", "password": PASSWORD}


def _set_up(client: Client) -> list[str]:
    """Set it up through the pages; return the recovery codes shown."""
    assert client.post("/account/two-step/", {"password": PASSWORD})["Location"] == "/account/two-step/set-up"
    page = client.get("/account/two-step/set-up").content.decode()
    key = re.search(r'class="key">([A-Z2-7 ]+)<', page)
    assert key
    code = pyotp.TOTP(key[1].replace(" ", "")).at(timezone.now())
    page = client.post("/account/two-step/set-up", {"one_time_code": code}).content.decode()
    return re.findall(r"<li>([a-z0-9-]{14})</li>", page)


def test_it_is_set_up_after_the_password_with_a_picture_and_a_key_that_say_the_same(client: Client) -> None:
    user = person_make(first_name="Ida", last_name="Merrow")
    client.force_login(user)
    assert "This is not your password." in client.post("/account/two-step/", {"password": "no"}).content.decode()
    assert client.get("/account/two-step/set-up")["Location"] == "/account/two-step/"
    client.post("/account/two-step/", {"password": PASSWORD})
    answer = client.get("/account/two-step/set-up")
    page = answer.content.decode()
    assert "<svg" in page
    assert "style=" not in page
    assert "no-store" in answer["Cache-Control"]
    key = re.search(r'class="key">([A-Z2-7 ]+)<', page)
    address = re.search(r'href="(otpauth://[^"]+)"', page)
    assert key
    assert address
    parsed = pyotp.parse_uri(html.unescape(address[1]))
    assert (parsed.secret, parsed.name) == (key[1].replace(" ", ""), "ida")
    assert len(_set_up(client)) == 10
    assert client.get("/account/two-step/set-up")["Location"] == "/account/two-step/", "shown no more"
    assert "10 recovery codes left" in client.get("/account/").content.decode()


def test_signing_in_takes_two_steps_and_leads_to_the_page_asked_for(client: Client) -> None:
    user = person_make()
    second_factor_make(user, at=timezone.now() - timedelta(hours=1))
    client.cookies["session"] = placed = "x" * 32
    answer = client.post("/sign-in", {**NAME, "next": "/cautions"})
    assert answer["Location"] == "/sign-in/code"
    assert client.session.session_key != placed
    assert client.get("/").status_code == 302, "the password alone opens nothing"
    wrong = client.post("/sign-in/code", {"one_time_code": "12"})
    assert "This code is wrong" in wrong.content.decode()
    before = client.session.session_key
    answer = client.post("/sign-in/code", {"one_time_code": phone_code(user, timezone.now())})
    assert answer["Location"] == "/cautions"
    assert client.session.session_key != before
    assert client.get("/account/").status_code == 200


def test_the_second_step_ends_when_it_takes_too_long_or_the_password_changes(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    user = person_make()
    second_factor_make(user, at=timezone.now() - timedelta(hours=1))
    assert client.get("/sign-in/code")["Location"] == "/sign-in"
    client.post("/sign-in", NAME)
    with monkeypatch.context() as patch:
        patch.setattr(sign_in_views, "SECOND_STEP_WITHIN", timedelta(seconds=-1))
        code = {"one_time_code": phone_code(user, timezone.now())}
        assert client.post("/sign-in/code", code)["Location"] == "/sign-in"
    client.post("/sign-in", NAME)
    user.set_password("another one altogether")
    user.save()
    assert client.post("/sign-in/code", code)["Location"] == "/sign-in"


def test_turning_it_on_ends_the_sessions_that_were_begun_by_the_password_alone(client: Client) -> None:
    owner, tess = person_make(), person_make("tess", BOOKKEEPER)
    second_factor_make(owner)
    role_rules_set(roles=frozenset({BOOKKEEPER}), by=owner, at=timezone.now())
    thief = Client()
    for browser in (thief, client):
        browser.post("/sign-in", {"username": "tess", "password": PASSWORD})
    assert len(_set_up(client)) == 10
    assert thief.post("/account/two-step/", {"password": PASSWORD})["Location"].startswith("/sign-in")
    assert client.get("/account/").status_code == 200
    assert BrowserSession.objects.filter(user=tess).count() == 1


def test_codes_are_guessed_slowly_in_the_page_too(client: Client) -> None:
    second_factor_make(person_make())
    client.post("/sign-in", NAME)
    answers = [client.post("/sign-in/code", {"one_time_code": "000000"}).status_code for _ in range(6)]
    assert answers == [200] * 5 + [429]


def test_a_recovery_code_signs_in_and_says_how_many_are_left(client: Client) -> None:
    codes = second_factor_make(person_make(), at=timezone.now())
    client.post("/sign-in", NAME)
    assert client.post("/sign-in/code", {"one_time_code": codes[0]}).status_code == 302
    assert "9 are left" in client.get("/account/").content.decode()


def test_somebody_of_a_role_that_requires_it_sets_it_up_before_anything_else(client: Client) -> None:
    owner, tess = person_make(), person_make("tess", BOOKKEEPER)
    second_factor_make(owner)
    role_rules_set(roles=frozenset({BOOKKEEPER}), by=owner, at=timezone.now())
    client.post("/sign-in", {"username": "tess", "password": PASSWORD, "next": "/money/"})
    for address in ("/money/", "/", "/account/", "/account/email", "/account/two-step/off"):
        assert client.get(address)["Location"] == "/account/two-step/", address
    part = client.get("/money/", headers={"HX-Request": "true"})
    assert part["HX-Redirect"] == "/account/two-step/"
    page = client.get("/account/two-step/").content.decode()
    assert "The owner requires two-step sign-in for your role" in page
    assert "main-nav" not in page
    assert len(_set_up(client)) == 10
    assert client.get("/money/").status_code == 200
    assert second_factor_of(tess)


def test_requiring_it_signs_out_those_who_have_none(client: Client) -> None:
    owner, kim = person_make(), person_make("kim", KITCHEN)
    second_factor_make(owner)
    kitchen = Client()
    kitchen.force_login(kim)
    client.force_login(owner)
    form = {"roles": ["kitchen"], "password": PASSWORD}
    assert "This is not your password." in client.post("/kitchen/sign-in/", form | {"password": "x"}).content.decode()
    assert kitchen.get("/account/").status_code == 200
    page = client.post("/kitchen/sign-in/", form, follow=True).content.decode()
    assert "People who have none yet were signed out" in page
    assert kitchen.get("/account/").status_code == 302
    assert client.get("/account/").status_code == 200


def test_the_owner_resets_it_for_somebody_who_lost_phone_and_codes(client: Client) -> None:
    owner, tess = person_make(), person_make("tess", BOOKKEEPER)
    second_factor_make(tess)
    hers = Client()
    hers.force_login(tess)
    client.force_login(owner)
    address = f"/kitchen/people/{tess.pk}/reset"
    assert client.get(f"/kitchen/people/{owner.pk}/reset").status_code == 404, "she has none to reset"
    client.post(address, {"password": "no"})
    assert second_factor_of(tess)
    assert client.post(address, {"password": PASSWORD}).status_code == 302
    assert second_factor_of(tess) is None
    assert not BrowserSession.objects.filter(user=tess).exists()
    assert hers.get("/account/").status_code == 302


def test_turning_it_off_and_new_codes_want_the_password(client: Client) -> None:
    user = person_make()
    second_factor_make(user)
    client.force_login(user)
    client.post("/account/two-step/codes", {"password": "no"})
    client.post("/account/two-step/off", {"password": "no"})
    assert SecondFactor.objects.exists()
    page = client.post("/account/two-step/codes", {"password": PASSWORD}).content.decode()
    assert len(re.findall(r"<li>([a-z0-9-]{14})</li>", page)) == 10
    assert recovery_codes_left(user) == 10
    assert client.post("/account/two-step/off", {"password": PASSWORD}).status_code == 302
    assert not SecondFactor.objects.exists()
