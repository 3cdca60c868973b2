"""Signing in and out, and the brake on guessing."""

from contextlib import suppress
from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher, identify_hasher, make_password
from django.contrib.auth.models import Group, User
from django.http import HttpRequest
from django.test import Client, override_settings
from django.utils import timezone

import config.settings
from catalog.records.errors import TooManyTries
from catalog.web.client_address import client_address, counted_address
from config.accounts.devices import COOKIE, known_device
from config.accounts.sign_in import AT_ACCOUNT, FROM_ADDRESS, FROM_DEVICE, sign_in
from orders.records.models import AuditEntry

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 2, 1, 9, tzinfo=UTC)
PASSWORD = "seven plums on a tray"


@pytest.fixture(autouse=True)
def ida() -> User:
    user = User.objects.create_user("ida", password=PASSWORD)
    user.groups.add(Group.objects.get_or_create(name="owner")[0])
    return user


def _try(
    password: str,
    *,
    at: datetime = NOW,
    username: str = "ida",
    address: str = "192.0.2.1",
    device: str | None = None,
) -> User | None:
    asked = {"username": username, "password": password, "address": address, "device": device}
    return sign_in(request=HttpRequest(), **asked, at=at)


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
        assert "The user name or the password is wrong." in page
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


def test_after_five_wrong_tries_even_the_right_password_waits_in_a_browser_nobody_knows() -> None:
    for _ in range(AT_ACCOUNT.free):
        assert _try("wrong") is None
    with pytest.raises(TooManyTries) as caught:
        _try(PASSWORD)
    assert caught.value.until == NOW + timedelta(minutes=1)
    assert _try(PASSWORD, at=caught.value.until) is not None


def test_forty_addresses_get_no_more_tries_at_one_account_than_one_address() -> None:
    tried = 0
    for number in range(40):
        try:
            _try("wrong", address=f"198.51.100.{number}")
        except TooManyTries:
            continue
        tried += 1
    assert tried == AT_ACCOUNT.free


def test_whoever_types_her_name_elsewhere_never_locks_the_owner_out(client: Client) -> None:
    assert client.post("/sign-in", {"username": "ida", "password": PASSWORD}).status_code == 302
    client.post("/sign-out")
    for number in range(40):
        with suppress(TooManyTries):
            _try("wrong", at=timezone.now(), address=f"198.51.100.{number}")
    assert client.post("/sign-in", {"username": "ida", "password": PASSWORD}).status_code == 302
    assert Client().post("/sign-in", {"username": "ida", "password": PASSWORD}).status_code == 429


def test_a_browser_that_is_known_has_a_budget_of_its_own() -> None:
    for _ in range(FROM_DEVICE.free):
        assert _try("wrong", device="hers") is None
    with pytest.raises(TooManyTries):
        _try(PASSWORD, device="hers")
    assert _try(PASSWORD, device="another of hers") is not None
    assert _try(PASSWORD) is not None


def test_a_browser_is_known_for_the_accounts_that_signed_in_with_it_alone(client: Client) -> None:
    User.objects.create_user("tess", password=PASSWORD)
    client.post("/sign-in", {"username": "ida", "password": PASSWORD})
    request = HttpRequest()
    request.COOKIES = {COOKIE: client.cookies[COOKIE].value}
    number = known_device(request, "IDA")
    assert number
    assert known_device(request, "tess") is None
    client.post("/sign-out")
    client.post("/sign-in", {"username": "tess", "password": PASSWORD})
    request.COOKIES = {COOKIE: client.cookies[COOKIE].value}
    assert known_device(request, "ida") == number
    assert known_device(request, "tess") not in {None, number}
    assert client.cookies[COOKIE]["httponly"]
    assert client.cookies[COOKIE]["max-age"] == 365 * 24 * 3600
    request.COOKIES = {COOKIE: client.cookies[COOKIE].value[:-1] + "x"}
    assert known_device(request, "ida") is None, "a cookie somebody changed"


def test_one_address_cannot_try_many_names() -> None:
    for number in range(FROM_ADDRESS.free):
        _try("wrong", username=f"name {number}")
    with pytest.raises(TooManyTries):
        _try("wrong", username="one more")


def test_signing_in_to_an_account_of_ones_own_does_not_clear_the_address() -> None:
    User.objects.create_user("mallory", password=PASSWORD)
    for number in range(FROM_ADDRESS.free):
        _try("wrong", username=f"name {number}")
        with suppress(TooManyTries):
            _try(PASSWORD, username="mallory")
    with pytest.raises(TooManyTries):
        _try("wrong", username="one more")


def test_a_name_in_upper_or_lower_case_is_the_same_name() -> None:
    for name in ("ida", "IDA", "Ida", "iDa", "idA"):
        _try("wrong", username=name)
    with pytest.raises(TooManyTries):
        _try("wrong")


def test_a_name_that_does_not_exist_is_counted_alike_and_costs_the_same_hashing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hashed: list[str] = []
    encode = MD5PasswordHasher.encode

    def counted(self: MD5PasswordHasher, password: str, salt: str) -> str:
        hashed.append(salt)
        return encode(self, password, salt)

    monkeypatch.setattr(MD5PasswordHasher, "encode", counted)
    costs = {}
    for name in ("ida", "nobody"):
        hashed.clear()
        for _ in range(AT_ACCOUNT.free):
            assert _try("wrong", username=name, address=name) is None
        costs[name] = len(hashed)
        with pytest.raises(TooManyTries):
            _try("wrong", username=name, address=name)
    assert costs["ida"] == costs["nobody"] > 0


def test_no_try_is_written_to_the_audit_trail_which_keeps_everything() -> None:
    before = AuditEntry.objects.count()
    _try("wrong")
    _try(PASSWORD)
    assert AuditEntry.objects.count() == before


def test_the_page_says_until_when_to_wait(client: Client) -> None:
    for _ in range(AT_ACCOUNT.free):
        _try("wrong", at=timezone.now(), address="127.0.0.1")
    answer = client.post("/sign-in", {"username": "ida", "password": PASSWORD})
    assert answer.status_code == 429
    assert "Too many tries. Wait until" in answer.content.decode()


@pytest.mark.parametrize(
    ("meta", "proxy", "address"),
    [
        ({"REMOTE_ADDR": "192.0.2.1", "HTTP_X_FORWARDED_FOR": "10.0.0.1"}, None, "192.0.2.1"),
        ({"REMOTE_ADDR": "10.0.0.2", "HTTP_X_FORWARDED_FOR": "6.6.6.6, 192.0.2.9"}, ("X", "https"), "192.0.2.9"),
        ({"REMOTE_ADDR": "2001:db8:1:2:3:4:5:6"}, None, "2001:db8:1:2::/64"),
        ({"REMOTE_ADDR": "::ffff:192.0.2.1"}, None, "192.0.2.1"),
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


def test_an_address_is_recorded_without_the_network_card_behind_it_which_no_database_knows() -> None:
    request = HttpRequest()
    request.META = {"REMOTE_ADDR": "fe80::1%eth0"}
    assert client_address(request) == "fe80::1"


def test_passwords_are_hashed_with_argon2() -> None:
    with override_settings(PASSWORD_HASHERS=config.settings.PASSWORD_HASHERS):
        assert identify_hasher(make_password(PASSWORD)).algorithm == "argon2"
