"""Mail, files, the work behind them, backups and the disk, in words for the owner and in codes for a monitor."""

import shutil
from datetime import timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from django.db import OperationalError, connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext

from catalog.outbox.models import Outbox
from catalog.outbox.periodic import periodic_work
from catalog.upkeep.models import WORK, Heartbeat
from catalog.upkeep.presenters import upkeep_notes, upkeep_parts
from catalog.upkeep.selectors import upkeep
from catalog.upkeep.services import backup_recorded, heartbeat
from tests.factories import NOW, kitchen_make, user_make

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
NO_ANSWER = {"code": "no_answer", "params": {"error": "ConnectionRefusedError"}}


class Usage(NamedTuple):
    total: int
    used: int
    free: int


@pytest.fixture(autouse=True)
def room(monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Path) -> dict[str, int]:
    """A disk with 18 GB free, and the clock of the tests."""
    free = {"bytes": 18 * 10**9}
    settings.VAR_DIR = tmp_path
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: Usage(0, 0, free["bytes"]))
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return free


def row(kind: str = "mail", status: str = "waiting", **more: Any) -> Outbox:
    created = more.pop("created_at", NOW - MINUTE)
    return Outbox.objects.create(kind=kind, status=status, created_at=created, **{"run_after": created, **more})


def words(title: str) -> str:
    (part,) = (part for part in upkeep_parts(upkeep(at=NOW)) if part.title == title)
    return f"{'well' if part.well else 'not well'}: {' '.join(part.sentences)}"


def notes() -> list[str]:
    return upkeep_notes(upkeep(at=NOW))


def test_mail_that_went_out_is_shown_with_its_time() -> None:
    assert words("E-mail") == "well: No e-mail has been written yet."
    row(status="done", done_at=NOW - HOUR)
    row(status="done", done_at=NOW - 2 * HOUR)
    row(kind="quote_pdf", status="done", done_at=NOW - timedelta(days=1))
    assert words("E-mail") == "well: The last e-mail was sent today at 1:00 PM."
    assert words("Files") == "well: The last file was made yesterday at 2:00 PM."


def test_mail_that_waits_because_its_server_does_not_answer_is_shown_with_since_when_and_why() -> None:
    later = NOW + 5 * MINUTE
    row(created_at=NOW - HOUR, run_after=later, error=NO_ANSWER, attempts=1)
    row(created_at=NOW - MINUTE, run_after=later)
    shown = words("E-mail")
    assert shown.startswith("not well: 2 e-mails have been waiting since today at 1:00 PM. They are tried again")
    assert "The mail server did not answer." in shown
    assert notes() == [note for note in notes() if note.startswith("E-mail: 2 e-mails have been waiting")]


def test_mail_on_its_way_is_no_cause_for_alarm() -> None:
    row()
    assert words("E-mail").startswith("well: 1 e-mail has been waiting")
    assert notes() == []


def test_mail_that_failed_is_counted_on_the_page_and_left_to_its_own_note_on_the_front_page() -> None:
    row(status="failed", error=NO_ANSWER)
    assert words("E-mail").startswith("not well: 1 e-mail could not be sent.")
    assert notes() == []


def test_due_work_that_nobody_took_up_says_that_nothing_runs() -> None:
    row(created_at=NOW - 3 * MINUTE)
    shown = words("Background work")
    assert shown.startswith("not well: Nothing has worked on mails and files since today at 1:57 PM.")
    heartbeat(at=NOW - MINUTE)
    assert words("Background work").startswith("not well: It is behind")


def test_work_due_for_days_says_since_which_day() -> None:
    row(created_at=NOW - 72 * HOUR)
    assert " since on " not in words("Files") + words("Background work")


def test_a_loop_that_was_not_seen_for_long_is_shown_even_when_nothing_waits() -> None:
    heartbeat(at=NOW - HOUR)
    shown = words("Background work")
    assert shown.startswith("not well: Nothing has worked on mails and files since today at 1:00 PM.")
    heartbeat(at=NOW)
    assert words("Background work") == "well: It last ran today at 2:00 PM."


def test_a_row_whose_process_died_long_ago_counts_as_taken_up_by_nobody() -> None:
    row(status="running", claimed_at=NOW - HOUR)
    assert words("Background work").startswith("not well")


def test_a_heartbeat_is_written_at_most_once_a_minute() -> None:
    heartbeat(at=NOW)
    with CaptureQueriesContext(connection) as queries:
        heartbeat(at=NOW + timedelta(seconds=15))
    assert len(queries) == 1
    heartbeat(at=NOW + MINUTE)
    assert Heartbeat.objects.get().at == NOW + MINUTE


def test_the_periodic_work_is_a_heartbeat(settings: Any) -> None:
    for path in settings.PERIODIC_WORK:
        periodic_work(path)
    assert Heartbeat.objects.get(process=WORK).at == NOW


@override_settings(BACKUP_DAYS=2)
def test_backups_are_shown_with_their_age() -> None:
    assert words("Backups").startswith("not well: No backup has been made yet.")
    backup_recorded(at=NOW - timedelta(days=3), size=12_400_000, encrypted=False)
    assert words("Backups").startswith("not well: The last backup is more than 2 days old.")
    backup_recorded(at=NOW - 12 * HOUR, size=12_400_000, encrypted=True)
    assert words("Backups") == "well: The last backup was made today at 2:00 AM (12.4 MB, encrypted)."


def test_where_no_backup_is_expected_none_is_missed() -> None:
    assert words("Backups").startswith("well: No backup has been made.")


def test_a_disk_that_fills_up_is_shown(room: dict[str, int]) -> None:
    assert words("Disk space") == "well: 18 GB are free."
    room["bytes"] = 40 * 10**6
    assert words("Disk space").startswith("not well: Only 40 MB are free.")


@override_settings(EMAIL_BACKEND="django.core.mail.backends.filebased.EmailBackend")
def test_mail_that_goes_to_files_is_shown_and_is_wrong_where_the_service_is_real() -> None:
    assert words("E-mail").startswith("well: No mail server is set up")
    with override_settings(HTTPS=True):
        assert words("E-mail").startswith("not well: No mail server is set up")


def test_the_address_that_only_this_computer_answers_is_named_with_what_to_set() -> None:
    with override_settings(SITE_URL="http://localhost:8000"):
        assert "COLDSET_SITE_URL" in words("Address")
    with override_settings(SITE_URL="https://kitchen.example"):
        assert words("Address") == "well: Private links and e-mails begin with https://kitchen.example."


def test_the_owner_opens_the_page_from_the_kitchens_navigation_and_the_front_page_hints(client: Client) -> None:
    kitchen_make()
    client.force_login(user_make())
    assert "needs attention" not in client.get("/").content.decode()
    row(created_at=NOW - HOUR)
    front = client.get("/").content.decode()
    assert "Background work: Nothing has worked on mails and files" in front
    assert 'href="/kitchen/upkeep/"' in front
    page = client.get("/kitchen/upkeep/").content.decode()
    assert "Something needs attention." in page
    assert 'aria-current="page">Mail and backups' in page


def test_the_page_takes_as_many_queries_for_many_rows() -> None:
    for number in range(3):
        row(error=NO_ANSWER, created_at=NOW - number * HOUR)
    with CaptureQueriesContext(connection) as queries:
        upkeep(at=NOW)
    assert len(queries) == 9


def ready(client: Client) -> tuple[int, dict[str, Any]]:
    answer = client.get("/health/ready")
    assert answer["Cache-Control"] == "no-store"
    return answer.status_code, answer.json()


def test_a_process_that_can_serve_is_ready(client: Client) -> None:
    checks = {"database": "ok", "migrations": "ok", "outbox": "ok", "storage": "ok"}
    assert ready(client) == (200, {"status": "ok", "checks": checks})


def test_what_is_not_well_is_named_by_a_code(client: Client, room: dict[str, int]) -> None:
    row(created_at=NOW - 14 * MINUTE)
    assert ready(client)[0] == 200
    row(created_at=NOW - 16 * MINUTE)
    room["bytes"] = 1
    status, answer = ready(client)
    assert (status, answer["status"]) == (503, "not_ready")
    assert (answer["checks"]["outbox"], answer["checks"]["storage"]) == ("late", "low")


def test_an_outbox_that_does_not_run_is_named_before_work_is_late(client: Client) -> None:
    heartbeat(at=NOW - 2 * MINUTE)
    assert ready(client)[0] == 200
    Heartbeat.objects.update(at=NOW - 4 * MINUTE)
    status, answer = ready(client)
    assert (status, answer["checks"]["outbox"]) == (503, "not_running")
    assert words("Background work").startswith("not well: Nothing has worked on mails and files since")


def test_a_database_that_does_not_answer_is_shown_without_its_own_words(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def down(self: object) -> None:
        raise OperationalError("could not connect to db.internal as coldset")

    monkeypatch.setattr(BaseDatabaseWrapper, "ensure_connection", down)
    answer = client.get("/health/ready")
    assert answer.status_code == 503
    assert answer.json()["checks"] == {
        "database": "no_answer",
        "migrations": "unknown",
        "outbox": "unknown",
        "storage": "ok",
    }
    assert client.get("/health/live").status_code == 200


def test_migrations_that_are_not_applied_keep_requests_away(client: Client) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'catalog'")
    status, answer = ready(client)
    assert (status, answer["checks"]["migrations"]) == (503, "pending")


@override_settings(SECURE_SSL_REDIRECT=True)
@pytest.mark.parametrize("address", ["/health", "/health/live", "/health/ready"])
def test_a_load_balancer_asks_by_any_host_name_and_over_plain_http(client: Client, address: str) -> None:
    answer = client.get(address, headers={"Host": "10.0.0.7"})
    assert answer.status_code == 200
    assert "10.0.0.7" not in answer.content.decode()
    assert not answer.cookies
    assert client.get(f"{address}/more", headers={"Host": "10.0.0.7"}).status_code == 400
    assert client.head(address).content == b""
    assert client.post(address).status_code == 405


def test_that_the_process_lives_is_shown_without_the_database(client: Client) -> None:
    with CaptureQueriesContext(connection) as queries:
        assert client.get("/health/live").json() == {"status": "ok"}
    assert len(queries) == 0
