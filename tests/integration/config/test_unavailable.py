"""A database that is locked, full, read-only or away: a page that keeps what was sent and sends it again."""

import errno
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection
from django.test import Client, RequestFactory
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Supplier
from config.accounts.models import BrowserSession
from config.logs import JsonFormatter, LineFormatter
from config.unavailable import unavailable
from config.web_database import LOCK, STATEMENT, wait_briefly
from orders.inquiries.models import Customer
from tests import factories
from tests.databases import RealDatabase
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import edit_form_of, forms_of

pytestmark = pytest.mark.django_db(transaction=True)
on_sqlite = pytest.mark.skipif("postgresql" in settings.DATABASES["default"]["ENGINE"], reason="about SQLite")
Away = Callable[[], AbstractContextManager[None]]
NOTE = "Deliver to the back door.\r\nRing twice & wait."


@pytest.fixture
def owner(client: Client) -> Client:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    client.raise_request_exception = False
    return client


@pytest.fixture
def address(owner: Client) -> str:
    return reverse("customer-edit", args=[factories.customer_make().pk])


@pytest.fixture
def locked() -> Iterator[sqlite3.Connection]:
    """Hold the write lock of the tests' database from another connection."""
    wait_briefly(connection, lock=50)
    other = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    yield other
    other.close()
    connection.close()


@pytest.fixture
def away(tmp_path: Path) -> Away:
    """Return a context in which the database cannot be opened."""

    @contextmanager
    def gone() -> Iterator[None]:
        place = connection.settings_dict["NAME"]
        connection.close()
        connection.settings_dict["NAME"] = tmp_path / "nowhere" / "x.sqlite3"
        try:
            yield
        finally:
            connection.close()
            connection.settings_dict["NAME"] = place

    return gone


def post(owner: Client, address: str, data: dict[str, Any], **headers: str) -> Any:
    return owner.post(address, data, headers={"Origin": "http://testserver", **headers})


def resent(page: Any, *, full: bool = False) -> dict[str, list[str]]:
    """Check that a page asks to try again, or says that the disk is full; return what it would send."""
    assert page.status_code == 503
    assert page["Retry-After"] == ("300" if full else "60")
    assert ("The disk is full" if full else "Try again in a minute") in text(page)
    assert ("busy" not in text(page)) == full
    form = forms_of(page)[0]
    assert form.method == "post"
    return form.fields


@on_sqlite
def test_a_lock_held_too_long_keeps_what_was_sent_and_sends_it_again(
    owner: Client, address: str, locked: sqlite3.Connection
) -> None:
    data = edit_form_of(owner.get(address)).data(note=NOTE)
    page = post(owner, address, data)
    fields = resent(page)
    assert [name for name in data if name not in fields] == []
    assert fields["note"] == [NOTE]
    assert forms_of(page)[0].action == address
    assert "Deliver to the back door." in text(page)
    locked.execute("ROLLBACK")
    assert post(owner, address, fields).status_code == 302
    assert Customer.objects.get().note == NOTE


@on_sqlite
def test_a_full_database_keeps_what_was_sent(owner: Client, address: str) -> None:
    data = edit_form_of(owner.get(address)).data(note="x" * 300_000, address="y" * 300_000)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")
        cursor.execute("PRAGMA page_count")
        pages = cursor.fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {pages + 20}")
    try:
        assert resent(post(owner, address, data), full=True)["note"] == ["x" * 300_000]
        assert owner.get(address).status_code == 200
    finally:
        connection.close()
    assert Customer.objects.get().note == ""


@on_sqlite
def test_a_read_only_database_still_shows_pages_and_keeps_what_was_sent(owner: Client, address: str) -> None:
    data = edit_form_of(owner.get(address)).data(note=NOTE)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
    try:
        assert owner.get(address).status_code == 200
        assert resent(post(owner, address, data))["note"] == [NOTE]
    finally:
        connection.close()


@on_sqlite
def test_without_any_database_the_page_names_no_kitchen(owner: Client, address: str, away: Away) -> None:
    data = edit_form_of(owner.get(address)).data(note=NOTE)
    with away():
        page, sent = owner.get(reverse("day")), post(owner, address, data)
    assert page.status_code == 503
    assert f'<a href="{reverse("day")}">open it again' in page.content.decode()
    assert Kitchen.objects.get().name not in page.content.decode()
    assert resent(sent)["note"] == [NOTE]


@on_sqlite
def test_a_part_of_a_page_gets_a_few_words(owner: Client, address: str, locked: sqlite3.Connection) -> None:
    page = post(owner, address, edit_form_of(owner.get(address)).data(note=NOTE), **{"HX-Request": "true"})
    assert page.status_code == 503
    assert page["Retry-After"] == "60"
    assert page.content == b"Try again in a minute."


@on_sqlite
def test_a_sign_in_that_cannot_be_written_never_shows_the_password(client: Client) -> None:
    factories.kitchen_make()
    factories.user_make()
    client.raise_request_exception = False
    wait_briefly(connection, lock=50)
    other = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    data = {"username": factories.BY, "password": factories.PASSWORD, "next": "/orders/"}
    page = post(client, reverse("sign-in"), data)
    other.close()
    fields = resent(page)
    assert factories.PASSWORD not in page.content.decode()
    assert (fields["next"], fields["password"]) == (["/orders/"], [""])
    again = post(client, reverse("sign-in"), {**fields, "password": [factories.PASSWORD]})
    connection.close()
    assert again.status_code == 302


@on_sqlite
def test_a_session_that_cannot_be_written_is_no_broken_request(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    save = BrowserSession.save

    def read_only(session: BrowserSession, *args: Any, **kwargs: Any) -> None:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA query_only = ON")
        save(session, *args, **kwargs)

    monkeypatch.setattr(BrowserSession, "save", read_only)
    client = Client(raise_request_exception=False)
    page = post(client, reverse("sign-in"), {"username": factories.BY, "password": factories.PASSWORD})
    connection.close()
    assert resent(page)["username"] == [factories.BY]


def test_a_disk_without_room_keeps_what_was_sent(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(**_: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("catalog.pantry.supplier_views.supplier_save", full)
    assert resent(post(owner, reverse("supplier-new"), {"name": "Mill", "note": NOTE}), full=True)["note"] == [NOTE]
    assert not Supplier.objects.exists()


@pytest.mark.parametrize("headers", [{}, {"HX-Request": "true"}])
def test_the_customer_of_a_kitchen_whose_disk_is_full_is_asked_to_wait_and_the_owner_to_free_space(
    headers: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    full = OperationalError("could not extend file: No space left on device")
    full.__cause__ = psycopg.errors.DiskFull("could not extend file")
    asked = [RequestFactory().post(address, {"text": NOTE}, headers=headers) for address in ("/q/1/say/", "/orders/1/")]
    for request in asked:
        request.csrf_processing_done = True  # type: ignore[attr-defined]  # as the middleware leaves it
    customer, owner = (unavailable(request, full) for request in asked)
    assert {(page.status_code, page["Retry-After"]) for page in (customer, owner)} == {(503, "300")}
    assert "few minutes" in text(customer)
    assert "disk" not in text(customer)
    assert "is full" in text(owner)
    if not headers:
        assert all(forms_of(page)[0].fields["text"] == [NOTE] for page in (customer, owner))


def test_the_log_says_why_by_the_errors_code_and_not_in_its_words(caplog: pytest.LogCaptureFixture) -> None:
    busy = OperationalError("canceling statement: row (7, Ida Fenwick)")
    busy.__cause__ = psycopg.errors.LockNotAvailable("canceling statement: row (7, Ida Fenwick)")
    unavailable(RequestFactory().get("/orders/1/"), busy)
    (record,) = [record for record in caplog.records if record.name == "config.unavailable"]
    for line in (JsonFormatter().format(record), LineFormatter().format(record)):
        assert "unavailable" in line
        assert "LockNotAvailable" in line
        assert "Ida" not in line


def test_a_file_cannot_be_kept_and_is_asked_for_again(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(**_: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("catalog.price_lists.services.price_list_upload", full)
    file = SimpleUploadedFile("list.csv", b"item,pack,price\n")
    page = post(owner, reverse("price-lists"), {"supplier": "Mill", "file": file, "starts": "2027-01-06"})
    assert resent(page, full=True)["supplier"] == ["Mill"]
    assert "Choose the file again" in text(page)
    assert 'enctype="multipart/form-data"' in page.content.decode()


@on_sqlite
def test_what_another_site_sent_is_not_offered_to_be_sent_again(away: Away) -> None:
    client = Client(enforce_csrf_checks=True, raise_request_exception=False)
    with away():
        page = client.post("/orders/1/cancel/", {"reason": "evil"}, headers={"Origin": "https://elsewhere.example"})
    assert page.status_code == 503
    assert "evil" not in page.content.decode()
    assert forms_of(page) == []


@on_sqlite
def test_what_is_kept_can_be_sent_by_a_browser_whose_session_could_not_be_read(away: Away) -> None:
    factories.kitchen_make()
    factories.user_make()
    client = Client(enforce_csrf_checks=True, raise_request_exception=False)
    client.get(reverse("sign-in"))
    token = client.cookies[settings.CSRF_COOKIE_NAME].value
    data = {"username": factories.BY, "password": factories.PASSWORD, "csrfmiddlewaretoken": token}
    with away():
        page = post(client, reverse("sign-in"), data)
    fields = {**resent(page), "password": [factories.PASSWORD]}
    assert post(client, reverse("sign-in"), fields).status_code == 302


def test_nobody_waits_longer_than_ten_seconds_for_one_statement() -> None:
    assert LOCK < STATEMENT < 10_000
    wait_briefly(connection)
    asked = "PRAGMA busy_timeout" if connection.vendor == "sqlite" else "SHOW lock_timeout"
    with connection.cursor() as cursor:
        cursor.execute(asked)
        assert str(cursor.fetchone()[0]) in {str(LOCK), f"{LOCK // 1000}s"}
    connection.close()


@pytest.mark.parametrize("entry", ["wsgi", "asgi"])
def test_every_connection_of_a_web_server_waits_briefly(entry: str, real_database: RealDatabase) -> None:
    stated = real_database.run("tests.integration.processes.web", entry).split()
    assert stated == (["5s", "9s"] if real_database.postgres else [str(LOCK)])


@pytest.mark.postgres
def test_a_row_that_somebody_holds_too_long_keeps_what_was_sent(owner: Client, address: str) -> None:
    data = edit_form_of(owner.get(address)).data(note=NOTE)
    wait_briefly(connection, lock=100)
    held, release = threading.Event(), threading.Event()

    def hold() -> None:
        other = connection.copy()
        with other.cursor() as cursor:
            cursor.execute("BEGIN; SELECT 1 FROM orders_customer FOR UPDATE")
            held.set()
            release.wait(120)
        other.close()

    holder = threading.Thread(target=hold)
    holder.start()
    assert held.wait(120)
    page = post(owner, address, data)
    release.set()
    holder.join()
    assert resent(page)["note"] == [NOTE]
    assert post(owner, address, resent(page)).status_code == 302
    connection.close()
    assert Customer.objects.get().note == NOTE


@pytest.mark.postgres
def test_a_statement_that_runs_too_long_is_given_up(owner: Client, address: str) -> None:
    data = edit_form_of(owner.get(address)).data(note=NOTE)
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE FUNCTION slow() RETURNS trigger LANGUAGE plpgsql"
            " AS $$BEGIN PERFORM pg_sleep(20); RETURN NEW; END$$;"
            "CREATE TRIGGER slow BEFORE UPDATE ON orders_customer FOR EACH ROW EXECUTE FUNCTION slow()"
        )
    wait_briefly(connection, statement=200)
    page = post(owner, address, data)
    connection.close()
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER slow ON orders_customer; DROP FUNCTION slow()")
    assert resent(page)["note"] == [NOTE]
    assert Customer.objects.get().note == ""


@pytest.mark.postgres
def test_a_transaction_that_may_only_read_keeps_what_was_sent(owner: Client, address: str) -> None:
    data = edit_form_of(owner.get(address)).data(note=NOTE)
    with connection.cursor() as cursor:
        cursor.execute("SET default_transaction_read_only = on")
    page = post(owner, address, data)
    connection.close()
    assert resent(page)["note"] == [NOTE]
