"""A new e-mail address counts once its owner has followed the link of a mail to it."""

import re
import threading
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core import mail
from django.db import connection
from django.test import Client
from django.utils import timezone

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from config.accounts.emails import ASKED, CONFIRMED_WITHIN, email_confirm, new_emails_clear
from config.accounts.errors import LinkUsedUp
from config.accounts.models import NewEmail
from config.logs import scrubbed
from orders.records.models import AuditEntry
from tests.factories import kitchen_make
from tests.integration.config.accounts.people import PASSWORD, person_make

pytestmark = pytest.mark.django_db
OLD, NEW = "ida@kitchen.example", "new@kitchen.example"


@pytest.fixture
def ida(client: Client) -> User:
    kitchen_make()
    person = person_make(email=OLD)
    client.force_login(person)
    return person


def deliver() -> None:
    """Do what the outbox would."""
    for row in Outbox.objects.filter(status="waiting").order_by("pk"):
        outbox_run(row_id=row.pk, at=timezone.now())


def ask(client: Client, email: str = NEW) -> str:
    """Enter an address; return the link of the mail to it, without the site."""
    assert client.post("/account/email", {"email": email, "password": PASSWORD}).status_code == 302
    deliver()
    links = [found[1] for one in mail.outbox if (found := re.search(r"https?://[^/\s]+(/email/\S+/)", str(one.body)))]
    return links[-1]


def now_used() -> str:
    return User.objects.get(username="ida").email


def test_a_new_address_is_used_once_its_link_was_followed_and_not_before(client: Client, ida: User) -> None:
    link = ask(client)
    assert now_used() == OLD
    assert [(one.to, one.subject.partition(" at ")[0]) for one in mail.outbox] == [
        ([NEW], "Confirm your e-mail address"),
        ([OLD], "A new e-mail address for you"),
    ]
    assert f"{NEW} is not confirmed yet" in client.get("/account/").content.decode()
    page = Client().get(link, follow=True)
    assert link not in page.redirect_chain[-1][0]
    assert NEW in page.content.decode()
    assert now_used() == OLD, "a mail scanner opens links too"
    elsewhere = Client()
    held = elsewhere.get(link)["Location"]
    assert elsewhere.post(held).status_code == 302
    assert now_used() == NEW
    deliver()
    assert mail.outbox[-1].to == [OLD]
    assert "nothing more is sent to it" in str(mail.outbox[-1].body)
    events = AuditEntry.objects.filter(document="user", document_pk=ida.pk).values_list("event", flat=True)
    assert [event for event in events if event.startswith("email")] == ["email_asked", "email_changed"]


def test_until_then_links_to_set_a_password_go_to_the_old_address(client: Client, ida: User) -> None:
    ask(client)
    mail.outbox.clear()
    for email in (OLD, NEW):
        Client().post("/password/", {"email": email})
    deliver()
    assert [one.to for one in mail.outbox] == [[OLD]]


def test_a_link_works_once(client: Client, ida: User) -> None:
    link = ask(client)
    held = client.get(link)["Location"]
    assert client.post(held).status_code == 302
    User.objects.update(email=OLD)
    assert client.post(held).status_code == 410
    assert client.get(link).status_code == 410
    assert now_used() == OLD


def test_a_link_is_over_after_an_hour(client: Client, ida: User) -> None:
    link = ask(client)
    held = client.get(link)["Location"]
    NewEmail.objects.update(asked_at=timezone.now() - CONFIRMED_WITHIN)
    assert client.get(link).status_code == 410
    assert client.post(held).status_code == 410
    assert now_used() == OLD
    assert "is not confirmed yet" not in client.get("/account/").content.decode()
    assert new_emails_clear(at=timezone.now()) == 1


def test_a_link_ends_with_another_address_and_with_the_old_one_entered_again(client: Client, ida: User) -> None:
    first = ask(client)
    second = ask(client, "other@kitchen.example")
    assert client.get(first).status_code == 410
    assert client.post("/account/email", {"email": OLD, "password": PASSWORD}).status_code == 302
    assert client.get(second).status_code == 410
    assert not NewEmail.objects.exists()


def test_a_link_ends_with_a_new_password(client: Client, ida: User) -> None:
    link = ask(client)
    ida.set_password("four herons over a weir")
    ida.save()
    assert Client().get(link).status_code == 410


def test_a_mail_about_an_address_that_was_replaced_is_not_sent(client: Client, ida: User) -> None:
    for email in (NEW, "other@kitchen.example"):
        client.post("/account/email", {"email": email, "password": PASSWORD})
    deliver()
    assert [one.to for one in mail.outbox if "Confirm" in one.subject] == [["other@kitchen.example"]]


def test_the_address_is_asked_for_with_the_password_and_only_some_times(client: Client, ida: User) -> None:
    page = client.post("/account/email", {"email": NEW, "password": "no"})
    assert "This is not your password." in page.content.decode()
    assert not NewEmail.objects.exists()
    for number in range(ASKED.free):
        client.post("/account/email", {"email": f"{number}@kitchen.example", "password": PASSWORD})
    page = client.post("/account/email", {"email": NEW, "password": PASSWORD})
    assert "Too many tries" in page.content.decode()


@pytest.mark.parametrize("person", ["MQ", "x", "LTE", "OTk5OTk5OTk5OTk5OTk5OTk5OTk5", "_"])
@pytest.mark.parametrize("token", ["confirm", "x", "c9x-0123456789abcdef0123456789abcdef"])
def test_a_made_up_link_confirms_nothing(client: Client, ida: User, person: str, token: str) -> None:
    ask(client)
    stranger = Client()
    assert stranger.get(f"/email/{person}/{token}/").status_code == 410
    assert stranger.post(f"/email/{person}/{token}/").status_code == 410
    assert now_used() == OLD


def test_no_token_is_stored_or_logged(client: Client, ida: User) -> None:
    link = ask(client)
    token = link.split("/")[3]
    rows = [*Outbox.objects.values(), *AuditEntry.objects.values(), *NewEmail.objects.values()]
    assert token not in str(rows)
    assert re.search(r"GET /email/\w+/\[token\]/", scrubbed(f"GET {link}"))
    assert client.get(link)["Referrer-Policy"] == "no-referrer"


@pytest.mark.django_db(transaction=True)
def test_of_two_that_follow_the_link_at_once_one_confirms(client: Client, ida: User) -> None:
    _, _, person, token, _ = ask(client).split("/")
    start, outcomes = threading.Barrier(4), list[Any]()

    def follow() -> None:
        start.wait()
        try:
            outcomes.append(email_confirm(person=person, token=token, at=timezone.now() + timedelta(seconds=1)))
        except LinkUsedUp:
            outcomes.append(None)
        finally:
            connection.close()

    threads = [threading.Thread(target=follow) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len([one for one in outcomes if one]) == 1
    assert now_used() == NEW
