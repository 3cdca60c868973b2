"""Passwords: changed with the old one, set anew by a link in a mail; e-mail addresses."""

import re
from datetime import datetime, timedelta

import pytest
from django.contrib.auth.models import User
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.core import mail
from django.test import Client
from django.utils import timezone

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from config.accounts.models import BrowserSession
from config.accounts.passwords import ASKED_FOR, OWN_PASSWORD, password_link_ask
from config.accounts.sign_in import AT_ACCOUNT
from config.logs import scrubbed
from tests.factories import kitchen_make
from tests.integration.config.accounts.people import PASSWORD, person_make, second_factor_make

pytestmark = pytest.mark.django_db
NEW = "four herons over a weir"
MAIL = "ida@kitchen.example"


@pytest.fixture
def ida() -> User:
    kitchen_make()
    return person_make(email=MAIL)


def _deliver() -> None:
    """Do what the outbox would."""
    for row in Outbox.objects.filter(status="waiting"):
        outbox_run(row_id=row.pk, at=timezone.now())


def _link() -> str:
    """Ask for a link, and return the address in the mail, without the site."""
    Client().post("/password/", {"email": MAIL})
    _deliver()
    found = re.search(r"https?://[^/\s]+(/password/\S+/)", str(mail.outbox[-1].body))
    assert found
    return found[1]


def _signs_in(password: str) -> bool:
    return Client().post("/sign-in", {"username": "ida", "password": password}).status_code == 302


def test_a_change_wants_the_old_password_and_ends_the_other_sessions(client: Client, ida: User) -> None:
    other = Client()
    other.force_login(ida)
    client.force_login(ida)
    form = {"password": "not it", "new_password": NEW, "new_password_again": NEW}
    assert "This is not your password." in client.post("/account/password", form).content.decode()
    before = client.session.session_key
    assert client.post("/account/password", form | {"password": PASSWORD}).status_code == 302
    assert client.get("/account/").status_code == 200
    assert client.session.session_key != before
    assert other.get("/account/").status_code == 302
    assert BrowserSession.objects.filter(user=ida).count() == 1
    assert _signs_in(NEW)
    assert not _signs_in(PASSWORD)


@pytest.mark.parametrize(
    ("new", "again", "words"),
    [
        ("short", "short", "at least 12 characters"),
        ("password1234", "password1234", "too common"),
        (NEW, "something else entirely", "The two new passwords differ"),
        ("ida@kitchen.example", "ida@kitchen.example", "too similar"),
    ],
)
def test_a_poor_password_is_refused_with_the_reason(
    client: Client, ida: User, new: str, again: str, words: str
) -> None:
    client.force_login(ida)
    page = client.post("/account/password", {"password": PASSWORD, "new_password": new, "new_password_again": again})
    assert words in page.content.decode()
    assert new not in re.findall(r'value="([^"]*)"', page.content.decode())
    assert _signs_in(PASSWORD)


def test_ones_own_password_is_not_guessed_in_a_session_left_open(client: Client, ida: User) -> None:
    client.force_login(ida)
    form = {"password": "not it", "email": "x@kitchen.example"}
    for _ in range(OWN_PASSWORD.free):
        client.post("/account/email", form)
    page = client.post("/account/email", form | {"password": PASSWORD}).content.decode()
    assert "Too many tries" in page


def test_a_link_sets_a_password_once_and_its_token_leaves_the_address(client: Client, ida: User) -> None:
    other = Client()
    other.force_login(ida)
    address = _link()
    answer = client.get(address)
    assert answer.status_code == 302
    assert answer["Referrer-Policy"] == "no-referrer"
    assert "no-store" in answer["Cache-Control"]
    page_address = answer["Location"]
    assert page_address.endswith("/set-password/")
    assert "<strong>ida</strong>" in client.get(page_address).content.decode()
    assert _signs_in(PASSWORD), "GET changes nothing"
    address = _link()
    page_address = client.get(address)["Location"]
    assert client.post(page_address, {"new_password": NEW, "new_password_again": NEW})["Location"] == "/sign-in"
    assert other.get("/account/").status_code == 302, "all sessions ended"
    for browser in (client, Client()):
        assert "This link does not work" in browser.get(address).content.decode()
    assert _signs_in(NEW)


def test_a_link_ends_after_an_hour(client: Client, ida: User, monkeypatch: pytest.MonkeyPatch) -> None:
    address = _link()
    later = datetime.now() + timedelta(minutes=61)  # noqa: DTZ005 - as Django's generator reads the clock
    monkeypatch.setattr(PasswordResetTokenGenerator, "_now", lambda _: later)
    assert "is older than an hour" in client.get(address).content.decode()


def test_a_link_is_made_when_the_mail_is_sent_and_stored_nowhere(ida: User) -> None:
    token = _link().split("/")[-2]
    assert not any(token in str(row.payload) for row in Outbox.objects.all())


def test_the_answer_is_the_same_for_an_address_nobody_has(client: Client, ida: User) -> None:
    answers = []
    for address in (MAIL, "nobody@kitchen.example"):
        answer = client.post("/password/", {"email": address}, follow=True)
        page = re.sub(r"X-CSRFToken[^}]+", "", answer.content.decode())
        answers.append((answer.status_code, answer.redirect_chain, page))
    assert answers[0] == answers[1]
    assert [row.payload["user"] for row in Outbox.objects.filter(kind="account_mail")] == [ida.pk, None]
    _deliver()
    assert [message.to for message in mail.outbox] == [[MAIL]]
    assert set(Outbox.objects.values_list("status", flat=True)) == {"done"}


def test_links_are_asked_for_slowly(client: Client, ida: User) -> None:
    for _ in range(ASKED_FOR.free):
        assert client.post("/password/", {"email": MAIL}).status_code == 302
    assert client.post("/password/", {"email": MAIL.upper()}, REMOTE_ADDR="198.51.100.7").status_code == 429


def test_a_mail_that_waited_for_hours_is_not_sent(ida: User) -> None:
    password_link_ask(email=MAIL, at=timezone.now() - timedelta(hours=7))
    mail.outbox.clear()
    _deliver()
    assert mail.outbox == []


def test_somebody_who_is_no_longer_active_gets_no_link(ida: User) -> None:
    User.objects.update(is_active=False)
    password_link_ask(email=MAIL, at=timezone.now())
    _deliver()
    assert mail.outbox == []


def test_whoever_is_slowed_down_in_a_new_browser_gets_in_by_a_link(client: Client, ida: User) -> None:
    for number in range(AT_ACCOUNT.free):
        Client().post("/sign-in", {"username": "ida", "password": "x"}, REMOTE_ADDR=f"198.51.100.{number}")
    assert client.post("/sign-in", {"username": "ida", "password": PASSWORD}).status_code == 429
    page_address = client.get(_link())["Location"]
    client.post(page_address, {"new_password": NEW, "new_password_again": NEW})
    assert client.post("/sign-in", {"username": "ida", "password": NEW}).status_code == 302


def test_a_link_does_not_go_round_the_second_step(client: Client, ida: User) -> None:
    second_factor_make(ida)
    page_address = client.get(_link())["Location"]
    client.post(page_address, {"new_password": NEW, "new_password_again": NEW})
    assert client.get("/account/").status_code == 302
    answer = client.post("/sign-in", {"username": "ida", "password": NEW})
    assert answer["Location"] == "/sign-in/code"


def test_a_changed_password_is_reported_by_mail(client: Client, ida: User) -> None:
    client.force_login(ida)
    client.post("/account/password", {"password": PASSWORD, "new_password": NEW, "new_password_again": NEW})
    _deliver()
    assert "was changed" in str(mail.outbox[-1].body)


def test_the_log_has_no_token(ida: User) -> None:
    assert re.search(r"GET /password/\w+/\[token\]/", scrubbed(f"GET {_link()}"))


def test_a_wrong_current_password_and_a_weak_new_one_are_both_named(client: Client, ida: User) -> None:
    client.force_login(ida)
    form = {"password": "not it", "new_password": "short", "new_password_again": "short"}
    page = client.post("/account/password", form)
    assert set(page.context["form"].errors) == {"password", "new_password"}
    ida.refresh_from_db()
    assert ida.check_password(PASSWORD)
