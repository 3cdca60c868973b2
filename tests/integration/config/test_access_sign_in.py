"""Signing in and out, and the brake on guessing."""

from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.hashers import identify_hasher, make_password
from django.contrib.auth.models import Group, User
from django.http import HttpRequest
from django.test import Client, override_settings
from django.utils import timezone

import config.settings
from config import sign_in as brake
from config.sign_in import TRIES_OF_ACCOUNT, TRIES_OF_ADDRESS, TooManyTries, counted_address
from orders.records.models import AuditEntry

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 2, 1, 9, tzinfo=UTC)
PASSWORD = "seven plums on a tray"


@pytest.fixture(autouse=True)
def ida() -> User:
    user = User.objects.create_user("ida", password=PASSWORD)
    user.groups.add(Group.objects.get_or_create(name="owner")[0])
    return user


def _try(password: str, *, at: datetime = NOW, username: str = "ida", address: str = "192.0.2.1") -> User | None:
    return brake.sign_in(request=HttpRequest(), username=username, password=password, address=address, at=at)


def test_the_right_name_and_password_sign_in_and_lead_to_the_page_asked_for(client: Client) -> None:
    answer = client.post("/sign-in", {"username": "ida", "password": PASSWORD, "next": "/cautions"})
    assert answer.status_code == 302
    assert answer["Location"] == "/cautions"
    assert client.get("/cautions").wsgi_request.user.is_authenticated


@pytest.mark.parametrize(
    "target", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "\\\\x.example"]
)
def test_nobody_is_led_to_another_site_after_signing_in(client: Client, target: str) -> None:
    answer = client.post("/sign-in", {"username": "ida", "password": PASSWORD, "next": target})
    assert answer["Location"] == "/"


def test_a_wrong_password_is_reported_without_saying_which_of_the_two_is_wrong(client: Client) -> None:
    wrong = client.post("/sign-in", {"username": "ida", "password": "wrong"}).content.decode()
    unknown = client.post("/sign-in", {"username": "nobody", "password": "wrong"}).content.decode()
    for page in (wrong, unknown):
        assert "This name and password do not fit together." in page
        assert "<title>Error: Sign in" in page
    assert 'value="ida"' in wrong
    assert 'value="wrong"' not in wrong


def test_empty_fields_are_named(client: Client) -> None:
    page = client.post("/sign-in", {}).content.decode()
    assert "Enter your user name." in page
    assert "Enter your password." in page


def test_password_managers_find_their_fields(client: Client) -> None:
    page = client.get("/sign-in").content.decode()
    assert 'autocomplete="username"' in page
    assert 'autocomplete="current-password"' in page


def test_signing_out_is_a_post_and_ends_the_session(client: Client, ida: User) -> None:
    client.force_login(ida)
    assert client.get("/sign-out").status_code == 405
    assert client.post("/sign-out").status_code == 302
    assert "You are signed out." in client.get("/sign-in").content.decode()
    assert not client.get("/cautions").wsgi_request.user.is_authenticated


def test_after_five_wrong_tries_even_the_right_password_waits() -> None:
    for number in range(TRIES_OF_ACCOUNT):
        assert _try("wrong", at=NOW + timedelta(seconds=number)) is None
    with pytest.raises(TooManyTries) as caught:
        _try(PASSWORD, at=NOW + timedelta(minutes=1))
    assert caught.value.until == NOW + brake.SPAN
    assert _try(PASSWORD, at=caught.value.until + timedelta(seconds=1)) is not None


def test_tries_that_are_refused_do_not_prolong_the_wait() -> None:
    for _ in range(TRIES_OF_ACCOUNT):
        _try("wrong")
    rows = AuditEntry.objects.count()
    for _ in range(3):
        with pytest.raises(TooManyTries):
            _try("wrong", at=NOW + timedelta(minutes=14))
    assert AuditEntry.objects.count() == rows


def test_a_guesser_elsewhere_does_not_lock_the_owner_out() -> None:
    for _ in range(TRIES_OF_ACCOUNT):
        _try("wrong", address="198.51.100.7")
    assert _try(PASSWORD) is not None


def test_one_address_cannot_try_many_names() -> None:
    for number in range(TRIES_OF_ADDRESS):
        _try("wrong", username=f"name {number}")
    with pytest.raises(TooManyTries):
        _try("wrong", username="one more")


def test_a_name_in_upper_or_lower_case_is_the_same_name() -> None:
    for name in ("ida", "IDA", "Ida", "iDa", "idA"):
        _try("wrong", username=name)
    with pytest.raises(TooManyTries):
        _try("wrong")


def test_signing_in_forgets_the_tries_before() -> None:
    for _ in range(TRIES_OF_ACCOUNT - 1):
        _try("wrong")
    assert _try(PASSWORD) is not None
    for _ in range(TRIES_OF_ACCOUNT - 1):
        assert _try("wrong") is None


def test_the_page_says_until_when_to_wait(client: Client) -> None:
    for _ in range(TRIES_OF_ACCOUNT):
        _try("wrong", at=timezone.now(), address="127.0.0.1")
    answer = client.post("/sign-in", {"username": "ida", "password": PASSWORD})
    assert answer.status_code == 429
    assert "Too many tries with this name. Wait until" in answer.content.decode()


@pytest.mark.parametrize(
    ("meta", "proxy", "address"),
    [
        ({"REMOTE_ADDR": "192.0.2.1", "HTTP_X_FORWARDED_FOR": "10.0.0.1"}, None, "192.0.2.1"),
        ({"REMOTE_ADDR": "10.0.0.2", "HTTP_X_FORWARDED_FOR": "6.6.6.6, 192.0.2.9"}, ("X", "https"), "192.0.2.9"),
        ({"REMOTE_ADDR": "2001:db8:1:2:3:4:5:6"}, None, "2001:db8:1:2::/64"),
        ({"REMOTE_ADDR": ""}, None, "unknown"),
    ],
)
def test_the_callers_address_is_the_proxys_word_only_behind_our_proxy(
    meta: dict[str, str], proxy: tuple[str, str] | None, address: str
) -> None:
    request = HttpRequest()
    request.META = meta
    with override_settings(SECURE_PROXY_SSL_HEADER=proxy):
        assert counted_address(request) == address


def test_passwords_are_hashed_with_argon2() -> None:
    with override_settings(PASSWORD_HASHERS=config.settings.PASSWORD_HASHERS):
        assert identify_hasher(make_password(PASSWORD)).algorithm == "argon2"
