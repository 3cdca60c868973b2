"""The owner's pages of people: invited, changed, closed and opened again, and never without an owner."""

import html
import re
import time
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from catalog.outbox.models import Outbox
from catalog.web.access import BOOKKEEPER, KITCHEN
from config.accounts import invitations
from config.accounts.mails import account_mail
from config.accounts.models import BrowserSession
from config.accounts.people import person_version
from config.roles import roles_of
from orders.records.models import AuditEntry
from tests.factories import kitchen_make
from tests.integration.config.accounts.people import PASSWORD, person_make

pytestmark = pytest.mark.django_db
TESS = {"name": "Tess Rowan", "username": "tess", "email": "tess@kitchen.example", "role": BOOKKEEPER}


@pytest.fixture
def owner(client: Client) -> User:
    user = person_make()
    client.force_login(user)
    return user


def added(client: Client, **changed: str) -> User:
    assert client.post("/kitchen/people/", TESS | changed).status_code == 302
    return User.objects.get(username=changed.get("username", "tess"))


def link_on(client: Client, user: User) -> str:
    found = re.search(r"(/invitation/[^<\s]+)", client.get(f"/kitchen/people/{user.pk}/").content.decode())
    assert found
    return html.unescape(found[1])


def change(client: Client, user: User, **changed: str) -> str:
    data = {"name": user.get_full_name() or "Somebody", "email": user.email, "role": "owner"} | changed
    data["version"] = person_version(user)
    return client.post(f"/kitchen/people/{user.pk}/", data, follow=True).content.decode()


def test_somebody_is_added_and_chooses_a_password_by_the_link(client: Client, owner: User) -> None:
    tess = added(client)
    assert roles_of(tess) == {BOOKKEEPER}
    address, hers = link_on(client, tess), Client()
    page = hers.get(address)
    assert page.status_code == 302
    assert page["Referrer-Policy"] == "no-referrer"
    form = hers.get(page["Location"]).content.decode()
    assert "Choose your password" in form
    hers.post(page["Location"], {"new_password": PASSWORD, "new_password_again": PASSWORD})
    assert hers.post("/sign-in", {"username": "tess", "password": PASSWORD}).status_code == 302
    assert "It was used before" in Client().get(address).content.decode(), "once"
    assert "No password yet" not in client.get(f"/kitchen/people/{tess.pk}/").content.decode()


def test_the_invitation_is_mailed_where_there_is_an_address(client: Client, owner: User) -> None:
    home = kitchen_make()
    tess = added(client)
    row = Outbox.objects.get(kind="account_mail")
    mail = account_mail(row, home, row.created_at)
    assert mail
    assert mail.subject == f"Sign in to {home.name}"
    assert "/invitation/" in str(mail.facts["link"])
    assert str(mail.to).endswith("tess@kitchen.example>") or "tess@kitchen.example" in str(mail.to)
    added(client, username="kim", email="")
    assert Outbox.objects.filter(kind="account_mail").count() == 1
    assert tess.email == "tess@kitchen.example"


def test_an_invitation_lasts_a_week(monkeypatch: pytest.MonkeyPatch) -> None:
    tess, week = User.objects.create(username="tess"), invitations.WITHIN.total_seconds()
    address = invitations.invitation_link(tess).partition("8000")[2]
    for past, status in ((week - 60, 302), (week + 60, 200)):
        with monkeypatch.context() as later:
            later.setattr("django.core.signing.time", SimpleNamespace(time=lambda past=past: time.time() + past))
            page = Client().get(address)
        assert page.status_code == status
    assert "older than a week" in page.content.decode()
    other = User.objects.create(username="other")
    swapped = re.sub(
        r"/invitation/[^/]+/", f"/invitation/{invitations.invitation_link(other).split('/')[-3]}/", address
    )
    assert "does not work" in Client().get(swapped).content.decode()


def test_a_closed_account_does_not_take_an_invitation(client: Client, owner: User) -> None:
    tess = added(client)
    address = link_on(client, tess)
    client.post(f"/kitchen/people/{tess.pk}/close")
    assert "does not work" in Client().get(address).content.decode()
    assert "/invitation/" not in client.get(f"/kitchen/people/{tess.pk}/").content.decode()


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"username": "IDA"}, "Somebody has this user name already."),
        ({"username": "tess rowan"}, "no spaces"),
        ({"name": ""}, "Enter the person’s name."),
        ({"email": "tess"}, "Write the e-mail address in full"),
        ({"role": ""}, "Choose a role."),
        ({"role": "admin"}, "Choose a role."),
    ],
)
def test_what_cannot_be_added_is_said_and_nothing_entered_is_lost(
    client: Client, owner: User, changed: dict[str, str], sentence: str
) -> None:
    page = client.post("/kitchen/people/", TESS | changed).content.decode()
    assert sentence in page
    assert User.objects.count() == 1
    if "name" not in changed:
        assert "Tess Rowan" in page


def test_another_role_counts_from_the_next_sign_in(client: Client, owner: User) -> None:
    tess = person_make("tess", BOOKKEEPER, first_name="Tess", last_name="Rowan")
    hers = Client()
    hers.post("/sign-in", {"username": "tess", "password": PASSWORD})
    assert "Saved." in change(client, tess, name="Tess Oakley", role=KITCHEN)
    tess = User.objects.get(username="tess")
    assert (tess.get_full_name(), roles_of(tess)) == ("Tess Oakley", {KITCHEN})
    assert not BrowserSession.objects.filter(user=tess).exists()
    trail = AuditEntry.objects.filter(document="user", document_pk=tess.pk, event="person_changed")
    assert trail.get().params == {"role": KITCHEN}


def test_there_is_always_an_owner(client: Client, owner: User) -> None:
    sentence = "Nobody else is an owner"
    assert sentence in change(client, owner, role=KITCHEN)
    assert sentence in client.post(f"/kitchen/people/{owner.pk}/close", follow=True).content.decode()
    owner.refresh_from_db()
    assert owner.is_active
    assert roles_of(User.objects.get(pk=owner.pk)) == {"owner"}
    second = person_make("second")
    assert "Saved." in change(client, second, role=KITCHEN)
    gone = person_make("gone", is_active=False)  # type: ignore[arg-type]
    assert sentence in change(client, owner, role=KITCHEN), f"{gone} signs in no more"


def test_two_windows_do_not_overwrite_each_other(client: Client, owner: User) -> None:
    tess = person_make("tess", BOOKKEEPER, first_name="Tess")
    opened = person_version(tess)
    change(client, tess, name="Tess Oakley", role=BOOKKEEPER)
    data = {"name": "Tess Elm", "email": "", "role": BOOKKEEPER, "version": opened}
    page = client.post(f"/kitchen/people/{tess.pk}/", data)
    assert page.status_code == 409
    assert User.objects.get(pk=tess.pk).last_name == "Oakley"


def test_a_link_for_a_new_password_is_made_for_who_gets_no_mail(client: Client, owner: User) -> None:
    kim = person_make("kim", KITCHEN)
    page = client.post(f"/kitchen/people/{kim.pk}/link").content.decode()
    found = re.search(r"(/invitation/[^<\s]+)", page)
    assert found
    hers = Client()
    there = hers.get(html.unescape(found[1]))["Location"]
    hers.post(there, {"new_password": "nine quinces on ice", "new_password_again": "nine quinces on ice"})
    assert hers.post("/sign-in", {"username": "kim", "password": "nine quinces on ice"}).status_code == 302
    assert AuditEntry.objects.filter(document="user", document_pk=kim.pk, event="person_link_made").count() == 1


def test_only_the_owner_sees_people(client: Client) -> None:
    kim = person_make("kim", KITCHEN)
    client.force_login(kim)
    for address in ("/kitchen/people/", f"/kitchen/people/{kim.pk}/"):
        assert client.get(address).status_code == 403
    for act in ("close", "open", "link", "sign-out"):
        assert client.post(f"/kitchen/people/{kim.pk}/{act}").status_code == 403


def test_without_a_mail_server_the_page_says_that_the_invitation_is_not_sent(
    client: Client, owner: User, settings: Any
) -> None:
    tess = added(client)
    assert "The invitation goes to tess@kitchen.example" in client.get(f"/kitchen/people/{tess.pk}/").content.decode()
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    shown = client.get(f"/kitchen/people/{tess.pk}/").content.decode()
    assert "The invitation goes to" not in shown
    assert "written to a file, not sent" in shown
