"""The Message-ID of a row's mail: the same at every attempt, and never given again, not even after a restore."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from catalog.outbox.models import Outbox
from tests.databases import RealDatabase

AT = datetime(2027, 2, 6, 12, tzinfo=UTC)


def _row(pk: int) -> Outbox:
    return Outbox.objects.create(pk=pk, kind="mail", created_at=AT, run_after=AT)


@pytest.mark.django_db
def test_a_row_that_gets_the_number_of_a_lost_one_gets_another_key() -> None:
    lost = _row(7)
    lost_key = lost.message_key
    lost.delete()
    assert len(lost_key) == 32
    assert _row(7).message_key != lost_key


def test_rows_that_were_there_before_keep_what_their_mails_were_called(tmp_path: Path) -> None:
    with RealDatabase.empty(tmp_path / "old.sqlite3") as database:
        database.manage("migrate", "catalog", "0001", "--skip-checks", "--verbosity=0")
        database.run("tests.integration.processes.old_outbox_row")
        database.manage("migrate", "catalog", "0002", "--skip-checks", "--verbosity=0")
        assert database.rows("SELECT id, message_key FROM catalog_outbox") == [(41, "41")]
