"""A new kitchen: the link that is printed makes the first owner, once, and then leads nowhere."""

import re
import time
from io import StringIO
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client

from catalog.kitchen.models import Kitchen
from config.accounts import first_owner
from config.roles import roles_of
from orders.records.models import AuditEntry
from tests.integration.config.accounts.people import PASSWORD, person_make

pytestmark = pytest.mark.django_db
NEW: dict[str, str] = {
    "name": "Odile Marsh",
    "username": "odile",
    "new_password": PASSWORD,
    "new_password_again": PASSWORD,
    "country": "DE",
}


def printed() -> str:
    out = StringIO()
    call_command("account", "first", stdout=out)
    return out.getvalue()


def link() -> str:
    found = re.search(r"(/set-up/\S+)", printed())
    assert found
    return found[1]


def test_the_owner_is_made_signed_in_and_asked_for_the_kitchen_as_is_usual_in_the_country(client: Client) -> None:
    address = link()
    assert client.get(address)["Referrer-Policy"] == "same-origin"
    page = client.post(address, NEW, follow=True)
    owner = User.objects.get()
    assert (owner.get_full_name(), roles_of(owner)) == ("Odile Marsh", {"owner"})
    form = page.context["form"]
    chosen = {name: form[name].value() for name in ("country", "currency", "measures", "degrees", "paper", "time_zone")}
    assert chosen == {
        "country": "DE", "currency": "EUR", "measures": "metric", "degrees": "C", "paper": "A4",
        "time_zone": "Europe/Berlin",
    }  # fmt: skip
    assert (form["allergen_list"].value(), form["food_safety"].value()) == ("eu", "eu")
    assert "Filled in for Germany, not saved yet" in page.content.decode()
    assert not Kitchen.objects.exists(), "proposed, not saved"
    assert AuditEntry.objects.filter(document="user", event="person_added", by="odile").count() == 1


def test_the_country_is_not_lost_when_she_comes_back_to_the_profile_another_way(client: Client) -> None:
    client.post(link(), NEW)
    page = client.get("/kitchen/")
    assert (page.context["form"]["currency"].value(), page.context["form"]["food_safety"].value()) == ("EUR", "eu")
    assert "Filled in for Germany, not saved yet" in page.content.decode()
    owner = Client()
    owner.force_login(User.objects.get())
    assert owner.get("/kitchen/").context["form"]["distance"].value() == "mi", "in another session, as is usual there"


def test_the_link_is_gone_once_there_is_an_owner(client: Client) -> None:
    address = link()
    client.post(address, NEW)
    other = Client()
    assert other.get(address).status_code == 404
    assert other.post(address, NEW | {"username": "mallory"}).status_code == 404
    assert User.objects.count() == 1
    assert "/set-up/" not in printed()
    assert "has an owner" in printed()


def test_of_two_who_use_the_link_at_once_one_becomes_the_owner(monkeypatch: pytest.MonkeyPatch, client: Client) -> None:
    address = link()
    person_make()
    monkeypatch.setattr("config.accounts.set_up_views.set_up_link_works", lambda token: True)
    page = client.post(address, NEW)
    assert "This kitchen has an owner already." in page.content.decode()
    assert User.objects.count() == 1


def test_a_link_that_is_old_or_made_up_does_not_work(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    address = link()
    assert client.get(address).status_code == 200
    with monkeypatch.context() as later:
        past = first_owner.WITHIN.total_seconds() + 60
        later.setattr("django.core.signing.time", SimpleNamespace(time=lambda: time.time() + past))
        assert client.get(address).status_code == 404
    for forged in ("/set-up/owner/", "/set-up/owner.1.abc/", address.replace("owner", "other")):
        page = client.get(forged)
        assert page.status_code == 404
        assert "This link does not work" in page.content.decode()


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"name": ""}, "Enter your name."),
        ({"username": ""}, "Enter a user name."),
        ({"username": "odile marsh"}, "no spaces"),
        ({"new_password": "short", "new_password_again": "short"}, "12 characters"),
        ({"new_password": "odile marsh odile", "new_password_again": "odile marsh odile"}, "password"),
        ({"new_password_again": "something else"}, "The two new passwords differ."),
        ({"country": "XX"}, "Choose the country."),
    ],
)
def test_what_is_missing_is_named_and_nothing_entered_is_lost(
    client: Client, changed: dict[str, Any], sentence: str
) -> None:
    page = client.post(link(), NEW | changed)
    text = page.content.decode()
    assert sentence in text
    assert not User.objects.exists()
    for name in ("name", "username"):
        if name not in changed:
            assert f'value="{NEW[name]}"' in text


def test_the_sign_in_page_of_an_empty_place_says_where_to_begin(client: Client) -> None:
    assert "Nobody can sign in yet." in client.get("/sign-in").content.decode()
    person_make()
    assert "Nobody can sign in yet." not in client.get("/sign-in").content.decode()
