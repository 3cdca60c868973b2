"""CPU time of a customer's approval: the whole request, its service alone, and its bare statements.

Run by ``make bench``. The statements are those that the request of another quote sent, replayed by SQLite's own driver
on a copy of the database from just before it. No PDF is made and no mail is written in any of the three: the request
asks for them, and the outbox does them.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from statistics import median
from typing import Any

QUOTES = 24


def main() -> None:
    """Set up a database of its own, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "bench.sqlite3"
        os.environ |= {"COLDSET_DB": str(file), "COLDSET_LOG_LEVEL": "ERROR"}
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        quotes = _quotes()
        warm, asked, served = quotes[:4], quotes[4:14], quotes[14:]
        for quote in warm:
            _request(quote)
        statements = _statements(asked[0], file, Path(folder) / "before.sqlite3")
        request = median(_request(quote) for quote in asked[1:])
        service = median(_service(quote) for quote in served)
        bare = median(_replay(Path(folder) / "before.sqlite3", statements) for _ in range(9))
    rows = [("the request", request), ("its service alone", service), (f"its {len(statements)} bare statements", bare)]
    lines = [f"{'A customer approves, CPU time, median':40}{'':>12}{'request / this':>18}"]
    lines += [f"{what:40}{taken:9.1f} ms{request / taken:18.1f}" for what, taken in rows]
    sys.stdout.write("\n".join(lines) + "\n")


def _quotes() -> list[Any]:
    from django.utils import timezone

    from tests.factories import kitchen_make, sent_make

    kitchen_make()
    now = timezone.now()
    start = (now + timedelta(days=40)).replace(hour=19, minute=30, second=0, microsecond=0)
    return [sent_make(at=now, window_start=start) for _ in range(QUOTES)]


def _phone(quote: Any) -> Any:
    """Return a browser that opened the quote's private link."""
    from django.test import Client
    from django.urls import reverse
    from django.utils import timezone

    from orders.approvals.links import link_create

    phone = Client()
    phone.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]), follow=True)
    return phone


def _request(quote: Any) -> float:
    """Return the CPU time of the request that approves [ms]."""
    from django.urls import reverse

    phone, form = _phone(quote), {"name": "Ida Fenwick", "content_sha256": quote.content_sha256}
    address = reverse("quote-page-approve", args=[quote.pk])
    begun = time.process_time()
    answer = phone.post(address, form)
    taken = time.process_time() - begun
    assert answer.status_code == 302
    return taken * 1000


def _service(quote: Any) -> float:
    from django.utils import timezone

    from orders.approvals.services import ApprovalEvidence, quote_approve

    begun = time.process_time()
    quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida Fenwick",
        evidence=ApprovalEvidence(),
        at=timezone.now(),
    )
    return (time.process_time() - begun) * 1000


def _statements(quote: Any, file: Path, copy: Path) -> list[tuple[str, Any]]:
    """Copy the database, then approve and return what was sent to it."""
    from django.db import connection
    from django.urls import reverse

    phone, found = _phone(quote), []

    def recorded(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        found.append((sql, params))
        return execute(sql, params, many, context)

    connection.close()
    shutil.copy(file, copy)
    wal = Path(f"{file}-wal")
    if wal.exists():
        shutil.copy(wal, Path(f"{copy}-wal"))
    with connection.execute_wrapper(recorded):
        form = {"name": "Ida Fenwick", "content_sha256": quote.content_sha256}
        assert phone.post(reverse("quote-page-approve", args=[quote.pk]), form).status_code == 302
    return [(sql.replace("%s", "?"), _plain(params)) for sql, params in found]


def _plain(params: Any) -> list[Any]:
    return [
        str(value) if value is not None and not isinstance(value, int | float | str) else value
        for value in params or ()
    ]


def _replay(file: Path, statements: list[tuple[str, Any]]) -> float:
    """Return the CPU time of the statements in one transaction, rolled back so that they can be sent again [ms]."""
    with closing(sqlite3.connect(file, isolation_level=None)) as database:
        database.execute("PRAGMA foreign_keys=ON")
        database.execute("PRAGMA recursive_triggers=ON")
        begun = time.process_time()
        database.execute("BEGIN IMMEDIATE")
        for sql, params in statements:
            if sql.partition(" ")[0] not in ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE"):
                database.execute(sql, params).fetchall()
        taken = time.process_time() - begun
        database.execute("ROLLBACK")
    return taken * 1000


if __name__ == "__main__":
    main()
