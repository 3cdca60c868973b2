"""A backup is of one moment, of everything, and readable by its key alone; a restore is whole or nothing."""

import json
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from catalog.pictures.reader import picture_made
from config.backup.archive import Member, archive_check, archive_open, archive_write
from config.backup.totals import WITHOUT_ROWS
from tests.databases import RealDatabase, trigger_count
from tests.pictures import drawn, file_of

# The migrated database that is copied for each test is made when a test asks for the database.
pytestmark = pytest.mark.django_db
KEY = "only-to-try-a-backup-0123456789"
KITCHEN = "tests.integration.processes.busy_kitchen"
SECRETS = {"COLDSET_SECRET_KEY": "", "COLDSET_SMTP_PASSWORD": ""}


@dataclass(frozen=True)
class Filled:
    """A kitchen with one of everything, and a backup of it."""

    database: RealDatabase
    file: Path
    words: str


@pytest.fixture(scope="module")
def _filled(_migrated: RealDatabase, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Filled]:
    folder = tmp_path_factory.mktemp("there")
    (folder / "secret-key").write_text("the signing key of the kitchen that was backed up\n")
    (folder / "smtp-password").write_text("the mail server's password\n")
    extra = {**SECRETS, "COLDSET_VAR": str(folder), "COLDSET_BACKUP_KEY": KEY}
    with _migrated.copy(folder) as copied:
        database = replace(copied, extra=extra)
        database.run(KITCHEN, "fill")
        file = folder / "kitchen.backup"
        yield Filled(database, file, database.manage("backup", str(file)))


@pytest.fixture
def filled(_filled: Filled, tmp_path: Path) -> Iterator[Filled]:
    """A copy of the kitchen for one test."""
    with _filled.database.copy(tmp_path) as copied:
        yield replace(_filled, database=replace(copied, extra=_filled.database.extra))


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[RealDatabase]:
    """An empty place with an empty folder."""
    folder = tmp_path / "here"
    extra = {**SECRETS, "COLDSET_VAR": str(folder), "COLDSET_BACKUP_KEY": KEY}
    with RealDatabase.empty(folder / "restored.sqlite3", **extra) as database:
        yield database


def _counts(database: RealDatabase) -> dict[str, int]:
    names = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    if database.postgres:
        names = "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
    tables = {name for (name,) in database.rows(names)} - set(WITHOUT_ROWS)
    return {table: database.rows(f'SELECT COUNT(*) FROM "{table}"')[0][0] for table in tables}  # noqa: S608


def _is_untouched(database: RealDatabase) -> bool:
    if database.postgres:
        return not _counts(database)
    return not Path(database.location).exists() and not list(Path(database.location).parent.glob("*"))


def test_what_is_restored_is_equal_and_its_people_sign_in(filled: Filled, empty: RealDatabase) -> None:
    assert "3 quotes" in filled.words
    assert "NOT encrypted" not in filled.words
    assert stat.S_IMODE(filled.file.stat().st_mode) == 0o600
    words = empty.manage("restore", str(filled.file))
    # That a backup was made is written down after its moment.
    before = _counts(filled.database)
    # So is the restore, when it was and of which moment, which is two rows.
    assert _counts(empty) | {"catalog_backup": 1} == before | {"catalog_heartbeat": before["catalog_heartbeat"] + 2}
    signs = empty.rows("SELECT process FROM catalog_heartbeat WHERE process LIKE 'restored%' ORDER BY process")
    assert [sign for (sign,) in signs] == ["restored", "restored_backup"]
    assert "Reminders that were due since then" in words
    assert empty.run(KITCHEN, "sign_in").split() == ["302", "200", "True"]
    assert (Path(empty.extra["COLDSET_VAR"]) / "secret-key").read_text().startswith("the signing key of")
    assert not (Path(empty.extra["COLDSET_VAR"]) / "smtp-password").exists()
    assert "To Ida Fenwick: the quote" in words
    assert "with the same Message-ID" in words
    assert "Drafts here may have been sent since (Q-00003)" in words
    assert "I-00002" in words
    assert "erase them again" in words
    assert trigger_count(empty) == trigger_count(filled.database)


def _next_line(process: subprocess.Popen[str], wanted: str) -> None:
    assert process.stdout is not None
    while process.stdout.readline().strip() != wanted:
        assert process.poll() is None


def test_a_backup_made_while_others_write_is_of_one_moment(filled: Filled, empty: RealDatabase, tmp_path: Path) -> None:
    file = tmp_path / "kitchen.backup"
    with Writing(filled.database) as writers:
        _next_line(writers, "sell")
        _next_line(writers, "count")
        before = filled.database.rows("SELECT COUNT(*) FROM orders_auditentry")[0][0]
        filled.database.manage("backup", str(file))
        after = filled.database.rows("SELECT COUNT(*) FROM orders_auditentry")[0][0]
    empty.manage("restore", str(file))
    there = empty.rows("SELECT COUNT(*) FROM orders_auditentry")[0][0]
    assert before <= there < after, "others wrote meanwhile"
    for count in (
        # Given and written down in one commit.
        "SELECT s.last - (SELECT COUNT(*) FROM orders_auditentry WHERE by = 'a clerk') FROM orders_numberseries s"
        " WHERE code = 'credit'",
        # Without gaps.
        "SELECT s.last - (SELECT COUNT(*) FROM orders_invoice WHERE number IS NOT NULL) FROM orders_numberseries s"
        " WHERE code = 'invoice'",
        "SELECT COUNT(*) FROM orders_approval a LEFT JOIN orders_order o ON o.quote_id = a.quote_id WHERE o.id IS NULL",
        "SELECT COUNT(*) FROM orders_order o LEFT JOIN orders_approval a ON o.quote_id = a.quote_id WHERE a.id IS NULL",
        "SELECT COUNT(*) FROM orders_quote q WHERE status = 'approved' AND NOT EXISTS"
        " (SELECT 1 FROM orders_order o WHERE o.quote_id = q.id)",
        "SELECT COUNT(*) FROM orders_invoice i WHERE total_minor <>"
        " (SELECT SUM(net_minor) FROM orders_invoiceline l WHERE l.invoice_id = i.id)"
        " + (SELECT SUM(tax_minor) FROM orders_invoicetax t WHERE t.invoice_id = i.id)",
    ):
        assert empty.rows(count)[0][0] == 0, count


class Writing:
    """Two clerks at work inside the block."""

    def __init__(self, database: RealDatabase) -> None:
        self._database = database

    def __enter__(self) -> subprocess.Popen[str]:
        environment = self._database.environment
        command = [sys.executable, "-m", KITCHEN, "write"]
        self._process = subprocess.Popen(
            command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        return self._process

    def __exit__(self, *_: object) -> None:
        self._process.communicate(timeout=120)


def test_a_damaged_cut_or_foreign_file_restores_nothing(filled: Filled, empty: RealDatabase, tmp_path: Path) -> None:
    whole = filled.file.read_bytes()
    middle = len(whole) // 2
    bad = [whole[:middle] + bytes([whole[middle] ^ 1]) + whole[middle + 1 :], whole[:-1], whole[:middle]]
    tries = []
    for number, content in enumerate(bad):
        file = tmp_path / f"bad-{number}.backup"
        file.write_bytes(content)
        tries += [KEY, str(file)]
    tries += ["another-key-0123456789-0123456789", str(filled.file), "", str(filled.file)]
    answers = empty.run(KITCHEN, "restore", *tries).splitlines()
    assert [answer.partition(":")[0] for answer in answers] == [
        *["The backup is damaged or not complete"] * 3,
        "The key does not fit this backup, or its first lines are damaged",
        "This backup is encrypted",
    ]
    assert _is_untouched(empty)


def test_a_place_in_use_is_refused_and_set_aside_when_asked(filled: Filled, tmp_path: Path) -> None:
    database = filled.database
    assert "add --replace" in database.refusal("restore", str(filled.file))
    with Writing(database) as writers:
        _next_line(writers, "count")
        assert "first. Nothing was restored." in database.refusal("restore", "--replace", str(filled.file))
    grown = _counts(database)["orders_auditentry"]
    words = database.manage("restore", "--replace", str(filled.file))
    assert _counts(database)["orders_auditentry"] < grown
    aside = words.partition("was set aside as ")[2].partition(";")[0]
    if database.postgres:
        assert database.rows(f"SELECT COUNT(*) FROM {aside}.orders_auditentry") == [(grown,)]  # noqa: S608
        database.manage("backup", str(tmp_path / "again.backup"))
    else:
        assert stat.S_IMODE(Path(aside).stat().st_mode) == 0o600
        assert replace(database, location=aside).rows("SELECT COUNT(*) FROM orders_auditentry") == [(grown,)]


def _changed(file: Path, folder: Path, change: Callable[[dict[str, Any]], None]) -> Path:
    """Write the backup again with another list; its key is known, so it reads as whole."""
    folder.mkdir()
    members = []
    with archive_open(file, KEY) as archive:
        for name, body in archive.members():
            (folder / name).write_bytes(b"".join(iter(body.read, b"")))
            members.append(Member(name, folder / name))
    manifest = json.loads(json.dumps(archive.manifest))
    change(manifest)
    archive_write(folder / "changed.backup", manifest, members, KEY)
    return folder / "changed.backup"


def test_what_does_not_add_up_or_belong_here_is_refused_as_a_whole(
    filled: Filled, empty: RealDatabase, tmp_path: Path
) -> None:
    def more_money(manifest: dict[str, Any]) -> None:
        manifest["totals"]["money"]["payments"]["USD"] += 1

    def other_kind(manifest: dict[str, Any]) -> None:
        manifest["kind"] = {"sqlite": "postgresql", "postgresql": "sqlite"}[manifest["kind"]]

    def later(manifest: dict[str, Any]) -> None:
        manifest["totals"]["migrations"].append(["orders", "9999_later"])

    tries = []
    for change in (more_money, other_kind, later):
        tries += [KEY, str(_changed(filled.file, tmp_path / change.__name__, change))]
    money, kind, version = empty.run(KITCHEN, "restore", *tries).splitlines()
    assert "money of payments" in money
    assert "and the settings name" in kind
    assert "another version of Coldset (orders.9999_later" in version
    assert _is_untouched(empty)


DAMAGE = {
    "files": ["parts.csv (file 4)", "whole.csv (file 3)"],
    "quotes": ["Q-00001 revision 1"],
    "Books": [],
    "invoices": ["I-00001"],
    "pictures": [f"picture {sha256(picture_made('photo', file_of(drawn())).bodies[-1]).hexdigest()[:12]}"],
}


def test_documents_that_lost_their_hash_are_named_and_new_ones_refuse_a_restore(
    filled: Filled, empty: RealDatabase, tmp_path: Path
) -> None:
    file = tmp_path / "damaged.backup"
    filled.database.run(KITCHEN, "damage")
    words = filled.database.manage("backup", str(file))
    assert archive_check(file, KEY)["totals"]["damaged"] == DAMAGE
    assert "of 2 files the hash they were stored with does not fit: parts.csv (file 4), whole.csv (file 3)." in words

    def sound(manifest: dict[str, Any]) -> None:
        manifest["totals"]["damaged"] = {kind: [] for kind in DAMAGE}

    def counted(manifest: dict[str, Any]) -> None:
        manifest["totals"]["damaged"] = {"files": 1, "quotes": 1, "Books": 0}

    tries = []
    for change in (sound, counted):
        tries += [KEY, str(_changed(file, tmp_path / change.__name__, change))]
    every, one = empty.run(KITCHEN, "restore", *tries).splitlines()
    names = [name for names in DAMAGE.values() for name in names]
    assert every.count("the hash of") == 5
    assert [name for name in names if f"the hash of {name} does not fit" in every] == names
    assert one.count("the hash of") == 1, "an earlier version counted files and quotes"
    assert _is_untouched(empty)
    assert "does not fit: I-00001." in empty.manage("restore", str(file)), "what was damaged before is restored so"


def test_a_backup_of_an_earlier_version_is_restored_and_then_migrated(
    filled: Filled, empty: RealDatabase, tmp_path: Path
) -> None:
    file, before = tmp_path / "earlier.backup", trigger_count(filled.database)
    for earlier in (["orders", "0001"], ["config", "zero"]):
        filled.database.manage("migrate", *earlier, "--skip-checks", "--verbosity=0")
    assert trigger_count(filled.database) < before, "those of later tables are gone"
    filled.database.manage("backup", str(file))
    assert "Run manage.py migrate" in empty.manage("restore", str(file))
    empty.manage("migrate", "--skip-checks", "--verbosity=0")
    assert "Every sum is what the documents add up to." in empty.manage("running_sums")
    assert _counts(empty)["orders_order"] == 1
    assert trigger_count(empty) == before


@pytest.mark.serverless  # about keys, passwords and files beside the database
def test_secrets_are_in_it_as_asked_and_a_file_is_never_overwritten(filled: Filled, tmp_path: Path) -> None:
    without, everything = tmp_path / "without.backup", tmp_path / "everything.backup"
    database = filled.database
    database.manage("backup", "--without-key", str(without))
    database.manage("backup", "--with-mail-password", str(everything))
    names = [[entry["name"] for entry in archive_check(file, KEY)["members"]] for file in (without, everything)]
    assert [sorted(set(found) & {"secret-key", "smtp-password"}) for found in names] == [
        [],
        ["secret-key", "smtp-password"],
    ]
    before = without.read_bytes()
    assert "exists: name a file that does not" in database.refusal("backup", str(without))
    assert without.read_bytes() == before
    plain = replace(database, extra={**database.extra, "COLDSET_BACKUP_KEY": ""})
    assert "sign in as anybody with the signing key" in plain.manage("backup", str(tmp_path / "plain.backup"))
    assert "Whole and readable" in plain.manage("backup", "--check", str(tmp_path / "plain.backup"))
    short = replace(database, extra={**database.extra, "COLDSET_BACKUP_KEY": "short"})
    assert "too short" in short.refusal("backup", str(tmp_path / "short.backup"))
    missing = {**database.extra, "COLDSET_BACKUP_KEY": "", "COLDSET_BACKUP_KEY_FILE": str(tmp_path / "no-such-file")}
    assert "there is no key in it" in replace(database, extra=missing).refusal("backup", str(tmp_path / "x.backup"))
    assert not list(Path(database.extra["COLDSET_VAR"]).glob("backup-*")), "nothing is left of the work"
