"""Sessions: a new key at sign-in, limits, listed with browser and address, ended one by one or all others."""

import re
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from config.accounts.models import BrowserSession
from config.accounts.presenters import browser_words, limits_of_session
from config.accounts.session_store import ABSOLUTE, IDLE, SEEN_AGAIN
from config.accounts.sessions import session_number, sessions_clear
from tests.integration.config.accounts.people import PASSWORD, person_make

pytestmark = pytest.mark.django_db
NAME = {"username": "ida", "password": PASSWORD}
PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 Version/18.0 Safari/604.1"


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[datetime]:
    """A clock that tests set forward."""
    now = [timezone.now()]
    monkeypatch.setattr(timezone, "now", lambda: now[0])
    return now


def _sign_in(agent: str = "", address: str = "127.0.0.1") -> Client:
    client = Client(headers={"User-Agent": agent}, REMOTE_ADDR=address)
    assert client.post("/sign-in", NAME).status_code == 302
    return client


def test_the_key_changes_when_somebody_signs_in_and_the_old_one_opens_nothing() -> None:
    person_make()
    client = Client()
    session = client.session
    session["anything"] = 1
    session.save()
    before = session.session_key
    client.cookies["session"] = before
    client.post("/sign-in", NAME)
    assert client.session.session_key != before
    assert not BrowserSession.objects.filter(session_key=before).exists()


def test_a_session_ends_when_it_is_not_used(clock: list[datetime]) -> None:
    person_make()
    client = _sign_in()
    clock[0] += IDLE - timedelta(minutes=1)
    assert client.get("/account/").status_code == 200
    clock[0] += IDLE - timedelta(minutes=1)
    assert client.get("/account/").status_code == 200, "it was used meanwhile"
    clock[0] += IDLE
    assert client.get("/account/").status_code == 302


def test_a_session_ends_some_days_after_signing_in_however_much_it_is_used(clock: list[datetime]) -> None:
    person_make()
    client, begun = _sign_in(), clock[0]
    while clock[0] + IDLE / 2 < begun + ABSOLUTE:
        clock[0] += IDLE / 2
        assert client.get("/account/").status_code == 200
    clock[0] = begun + ABSOLUTE
    assert client.get("/account/").status_code == 302


def test_reading_pages_writes_the_session_now_and_then_only(clock: list[datetime]) -> None:
    person_make()
    client = _sign_in()
    seen = BrowserSession.objects.get().seen_at
    clock[0] += SEEN_AGAIN - timedelta(seconds=1)
    client.get("/account/")
    assert BrowserSession.objects.get().seen_at == seen
    clock[0] += timedelta(seconds=2)
    client.get("/account/")
    assert BrowserSession.objects.get().seen_at > seen


def test_the_limits_are_said_on_the_page(client: Client) -> None:
    client.force_login(person_make())
    assert limits_of_session() in client.get("/account/").content.decode()
    assert "24 hours" in limits_of_session()
    assert "14 days" in limits_of_session()


def test_the_account_lists_browsers_with_family_and_address_and_never_the_key() -> None:
    person_make()
    phone = _sign_in(PHONE, "198.51.100.7")
    desk = _sign_in("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0")
    page = desk.get("/account/").content.decode()
    assert page.index("This browser") < page.index("Safari on iPhone")
    assert "198.51.100.7" in page
    assert phone.session.session_key not in page
    assert desk.session.session_key not in page


def test_one_session_is_ended_and_the_others_stay() -> None:
    person_make()
    phone, desk = _sign_in(PHONE), _sign_in()
    numbers = re.findall(r'name="session" value="(\w+)"', desk.get("/account/").content.decode())
    assert len(numbers) == 1
    desk.post("/account/sessions/end", {"session": numbers[0]})
    assert phone.get("/account/").status_code == 302
    assert desk.get("/account/").status_code == 200
    again = desk.post("/account/sessions/end", {"session": numbers[0]}, follow=True)
    assert "That browser was signed out already." in again.content.decode()


def test_nobody_ends_the_session_of_somebody_else() -> None:
    person_make()
    hers, other = _sign_in(), Client()
    other.force_login(person_make("kim", "kitchen"))
    other.post("/account/sessions/end", {"session": session_number(hers.session.session_key)})
    other.post("/account/sessions/end-others")
    assert hers.get("/account/").status_code == 200


def test_all_others_are_ended_at_once() -> None:
    person_make()
    others, desk = [_sign_in(), _sign_in(PHONE)], _sign_in()
    desk.post("/account/sessions/end-others")
    assert [one.get("/account/").status_code for one in others] == [302, 302]
    assert desk.get("/account/").status_code == 200


def test_the_owner_signs_somebody_out_everywhere(client: Client) -> None:
    owner, kim = person_make(), person_make("kim", "kitchen")
    kitchen = Client()
    kitchen.force_login(kim)
    client.force_login(owner)
    assert kitchen.post(f"/kitchen/people/{owner.pk}/sign-out").status_code == 403
    client.post(f"/kitchen/people/{kim.pk}/sign-out")
    assert kitchen.get("/account/").status_code == 302
    other = Client()
    other.force_login(owner)
    client.post(f"/kitchen/people/{owner.pk}/sign-out")
    assert other.get("/account/").status_code == 302
    assert client.get("/account/").status_code == 200, "her own browser stays"


def test_somebody_who_is_no_longer_active_is_out_at_once(client: Client) -> None:
    user = person_make()
    client.force_login(user)
    user.is_active = False
    user.save()
    assert client.get("/account/").status_code == 302


def test_signing_out_ends_the_session_on_the_server() -> None:
    person_make()
    client = _sign_in()
    cookie = client.cookies["session"].value
    client.post("/sign-out")
    assert not BrowserSession.objects.filter(session_key=cookie).exists()
    client.cookies["session"] = cookie
    assert client.get("/account/").status_code == 302


def test_sessions_that_are_over_are_deleted(clock: list[datetime]) -> None:
    person_make()
    _sign_in()
    assert sessions_clear(at=clock[0]) == 0
    assert sessions_clear(at=clock[0] + ABSOLUTE) == 1


def test_a_page_reads_the_session_once(client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    client.force_login(person_make())
    with django_assert_num_queries(4):  # session, person, kitchen, roles
        client.get("/kitchen/hours/x")


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (PHONE, "Safari on iPhone"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64; x64) Chrome/140.0 Safari/537.36 Edg/140.0", "Edge on Windows"),
        ("Mozilla/5.0 (Linux; Android 15; Pixel) Chrome/140.0 Mobile Safari/537.36", "Chrome on Android"),
        ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15) Version/18 Safari/605", "Safari on Mac"),
        ("curl/8", "A browser"),
    ],
)
def test_a_browser_is_named_by_family_and_system(agent: str, words: str) -> None:
    assert browser_words(agent) == words
