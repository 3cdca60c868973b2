"""What the commands ``backup`` and ``restore`` print: what was done, and what the owner has to know now."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any, Final

from django.db import connection

from config.backup.archive import Manifest
from config.backup.keys import SIGNING, SMTP
from config.backup.services import BackupFile, Restored

#: Most rows that are listed by name.
_MOST: Final = 10
_SIGNING_WORDS: Final = {
    "put": "The signing key was put in its place.",
    "same": "The signing key is the one the backup was made with.",
    "other": (
        "The signing key in use here is another one and was left: what was signed with the old one no longer holds."
    ),
}
_SMTP_WORDS: Final = {
    "put": "The mail server's password was put in its place.",
    "same": "The mail server's password is the one the backup was made with.",
    "other": "The mail server's password in use here is another one and was left.",
}


def size_words(size: int) -> str:
    """Write a size in bytes."""
    return f"{size / 1_000_000:.1f} MB" if size >= 100_000 else f"{size / 1000:.1f} kB"


def backup_words(backup: BackupFile) -> Iterator[str]:
    """Write what is in a backup that was just made, and what is not."""
    yield f"{backup.path}: {size_words(backup.size)}, {content_words(backup.manifest)}"
    yield (
        "Not in it: signed-in browsers, the settings (environment variables), and the folder of mails written as files."
    )
    if not backup.encrypted:
        yield (
            "It is NOT encrypted: whoever gets it can read every name and address in it"
            + (", and sign in as anybody with the signing key" if SIGNING in backup.members else "")
            + ". Set COLDSET_BACKUP_KEY or COLDSET_BACKUP_KEY_FILE."
        )
    yield from _damage(backup.manifest)


def content_words(manifest: Manifest) -> str:
    """Write what a backup holds, in one line."""
    rows = manifest["totals"]["rows"]
    counts = ", ".join(
        f"{rows.get(table, 0)} {what}"
        for table, what in (
            ("orders_quote", "quotes"),
            ("orders_order", "orders"),
            ("orders_invoice", "invoices"),
            ("orders_document", "files"),
        )
    )
    made = datetime.fromisoformat(manifest["made_at"])
    return f"the kitchen as it was on {made:%Y-%m-%d at %H:%M:%S} UTC ({manifest['versions']['database']}): {counts}."


def _damage(manifest: Manifest) -> Iterator[str]:
    for what, names in manifest["totals"]["damaged"].items():
        if names:
            more = f" and {len(names) - _MOST} more" if len(names) > _MOST else ""
            listed = ", ".join(names[:_MOST]) + more
            yield f"Take care: of {len(names)} {what} the hash they were stored with does not fit: {listed}."


def restored_words(restored: Restored) -> Iterator[str]:
    """Write what was restored, and what the owner has to look at before the service starts."""
    yield f"Restored: {content_words(restored.manifest)}"
    yield "Rows, money, numbers and the hashes of all documents and files are equal to what was backed up."
    yield from _damage(restored.manifest)
    if restored.aside:
        yield f"What stood here before was set aside as {restored.aside}; delete it when you are sure."
    yield from _secret_words(restored.secrets)
    yield ""
    yield "Before you start the service:"
    yield from _listed(_next_steps(restored))
    yield ""
    yield "What happened after the backup was made is not in it:"
    yield from _listed(_lost_words())


def _listed(lines: Iterable[str]) -> Iterator[str]:
    yield from (line if line.startswith("    ") else f"- {line}" for line in lines)


def _secret_words(secrets: dict[str, str]) -> Iterator[str]:
    if SIGNING in secrets:
        yield _SIGNING_WORDS[secrets[SIGNING]]
    else:
        yield "The signing key is not in the backup: the service needs one (README.md, COLDSET_SECRET_KEY)."
    if SMTP in secrets:
        yield _SMTP_WORDS[secrets[SMTP]]


def _next_steps(restored: Restored) -> Iterator[str]:
    if restored.migrations_missing:
        yield "Run manage.py migrate: the backup was made by an earlier version."
    if connection.vendor == "postgresql":
        yield "Run manage.py database_role NAME if the service has a role of its own: rights are not in a backup."
    yield "Everybody signs in again: signed-in browsers are not in a backup."
    yield from _waiting_words()


def _waiting_words() -> Iterator[str]:
    waiting = _rows("SELECT summary, kind FROM catalog_outbox WHERE status IN ('waiting', 'running') ORDER BY id")
    if not waiting:
        return
    yield (
        f"{len(waiting)} mails and files were still to be done, and will be done now. A mail among them may have gone "
        "out after the backup: then it comes a second time, with the same Message-ID."
    )
    yield from (f"    {summary or kind}" for summary, kind in waiting[:_MOST])
    if len(waiting) > _MOST:
        yield f"    and {len(waiting) - _MOST} more: see the list of mails"


def _lost_words() -> Iterator[str]:
    drafts = [number for (number,) in _rows("SELECT number FROM orders_quote WHERE status = 'draft' ORDER BY number")]
    if drafts:
        listed = ", ".join(drafts[:_MOST]) + (f" and {len(drafts) - _MOST} more" if len(drafts) > _MOST else "")
        yield (
            f"Drafts here may have been sent since ({listed}). The link in such a mail opens nothing now: send the "
            "quote again. The same holds for revisions, and for links asked for again."
        )
    yield (
        "Answers of customers, payments and notes since then: ask, and record them again. Look through the mails that "
        "went out since then (the mail server's sent folder)."
    )
    yield (
        "Reminders that were due since then are not sent by themselves, as they may have gone out: the page of "
        "reminders shows them, and you decide about each."
    )
    yield "People who were erased since then are here again: erase them again (manage.py person erase)."
    series = _rows("SELECT prefix, last FROM orders_numberseries ORDER BY code")
    if series:
        listed = ", ".join(f"{prefix}{last + 1:05d}" for prefix, last in series)
        yield (
            f"The next numbers are {listed}. If a customer already has a document with such a number, two documents "
            "would have it: ask your accountant before you issue another one."
        )
    (last,) = _rows("SELECT MAX(number) FROM orders_exportbatch")[0]
    here = f"The last export here is number {last}" if last else "There is no export here"
    yield f"{here}: tell the bookkeeper that later ones no longer count."


def _rows(statement: str) -> list[tuple[Any, ...]]:
    """Read with the columns every version has: the tables may be those of an earlier one."""
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return list(cursor.fetchall())
