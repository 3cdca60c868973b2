"""The command for people: the first owner, links, a lost phone, sentences for what does not work."""

import re
from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client

from config.accounts.second_factor import second_factor_of
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


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
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
