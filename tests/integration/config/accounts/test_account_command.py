"""The command for people: the first owner, links, a lost phone, sentences for what does not work."""

import re
from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client

from config.accounts.models import BrowserSession
from config.accounts.second_factor import second_factor_of
from orders.records.models import AuditEntry
from tests.integration.config.accounts.people import PASSWORD, person_make, second_factor_make

pytestmark = pytest.mark.django_db


def _account(*arguments: str) -> str:
    out = StringIO()
    call_command("account", *arguments, stdout=out)
    return out.getvalue()


def test_the_first_owner_is_added_and_sets_a_password_by_the_link_printed() -> None:
    printed = _account("add", "odile", "--role", "owner", "--name", "Odile Marsh", "--email", "odile@kitchen.example")
    address = re.search(r"(/password/\S+)", printed)
    assert address
    browser = Client()
    page_address = browser.get(address[1])["Location"]
    browser.post(page_address, {"new_password": PASSWORD, "new_password_again": PASSWORD})
    assert browser.post("/sign-in", {"username": "odile", "password": PASSWORD}).status_code == 302
    assert User.objects.get().get_full_name() == "Odile Marsh"
    assert "odile: owner" in _account("list")


def test_an_owner_who_lost_phone_and_codes_is_helped_by_whoever_runs_the_service() -> None:
    user = person_make()
    second_factor_make(user)
    assert "ida signs in by password alone" in _account("reset-two-step", "ida")
    assert second_factor_of(user) is None


def test_somebody_who_has_left_is_signed_out_and_signs_in_no_more_until_the_account_is_opened_again(
    client: Client,
) -> None:
    user = person_make()
    with pytest.raises(CommandError, match="Nobody else is an owner"):
        _account("close", "ida")
    person_make("odile")
    name = {"username": "ida", "password": PASSWORD}
    client.post("/sign-in", name)
    assert "signs in no more" in _account("close", "ida")
    assert not BrowserSession.objects.filter(user=user).exists()
    assert client.post("/sign-in", name).status_code == 200, "the form again"
    assert "ida: owner (not active)" in _account("list")
    assert "may sign in again" in _account("open", "ida")
    assert client.post("/sign-in", name).status_code == 302
    trail = AuditEntry.objects.filter(document="user", document_pk=user.pk, event__startswith="person_")
    assert list(trail.order_by("pk").values_list("event", flat=True)) == ["person_closed", "person_opened"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["close", "nobody"], "nobody called nobody"),
        (["open", "ida"], "nobody called ida whose account is closed"),
        (["link", "nobody"], "nobody called nobody"),
        (["reset-two-step", "ida"], "has no two-step sign-in"),
        (["add", "IDA", "--role", "owner"], "somebody called IDA already"),
        (["add", "x", "--role", "owner", "--email", "nonsense"], "no e-mail address"),
    ],
)
def test_what_does_not_work_is_said(arguments: list[str], words: str) -> None:
    person_make()
    with pytest.raises(CommandError, match=words):
        _account(*arguments)
