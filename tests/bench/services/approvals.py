"""Approvals by many clients at once on PostgreSQL, against bare transactions of the very statements they run."""

from __future__ import annotations

import pickle
import re
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from statistics import median
from threading import Barrier
from typing import Any

from tests.bench.services.clocks import median_ms

#: Clients, their approvals each in a round, and the processes that share the clients.
CLIENTS, EACH, PROCESSES = 32, 12, 4
#: Rounds of either kind, in turn, so that whatever else the machine does meets both.
ROUNDS = 5
#: Keys from here on are those of rows that an approval makes: a replay puts its own in their place.
MADE_FROM = 60_000_000

#: One statement: SQL and parameters, and the key of the row it made, or 0.
Statement = tuple[str, tuple[Any, ...], int]
_NUMBER = re.compile(r"O-\d+")


def approvals_taken() -> list[str]:
    """Measure both in turn; the medians of the rounds count."""
    number = CLIENTS * EACH
    quotes = _quotes(2 * ROUNDS * number + 1)
    rates = []
    for first in range(0, 2 * ROUNDS * number, 2 * number):
        recorded = [_recorded(quote) for quote in quotes[first + number : first + 2 * number]]
        rates.append((_rate("approve", quotes[first : first + number]), _rate("bare", recorded)))
    approved, bare = (median(kind) for kind in zip(*rates, strict=True))
    ratios = sorted(ours / theirs for ours, theirs in rates)
    return [
        f"approvals by {CLIENTS} clients in {PROCESSES} processes: {approved:.0f} a second; bare transactions of the "
        f"same {len(recorded[0])} statements {bare:.0f} a second: {median(ratios):.2f} x "
        f"({ratios[0]:.2f} to {ratios[-1]:.2f} in {ROUNDS} rounds)"
    ]


def approval_ms() -> float:
    """Return the CPU time of one approval [ms]."""
    quotes = iter(_quotes(10))
    return median_ms(lambda: _approve(next(quotes)))


def _quotes(number: int) -> list[int]:
    """Send a quote, copy it; return the keys of the copies."""
    from datetime import timedelta

    from django.apps import apps
    from django.db import connection, transaction
    from django.utils import timezone

    from config.demo import courses
    from orders.approvals.models import Approval
    from orders.inquiries.models import Customer, Inquiry
    from orders.orders.models import Order
    from orders.quotes.models import Quote, QuoteLine
    from orders.records.immutable_rows import install, remove
    from tests.bench.services.copies import Copier, sequences_from, sequences_set
    from tests.bench.services.fill import demo_story

    quote = courses.at_once(
        courses.to_quote(demo_story(21 + Quote.objects.count(), timezone.localdate() + timedelta(days=60)))
    )
    copier, mark = Copier(number), f"'bench-{quote.pk}-' || s.i"
    with connection.schema_editor(atomic=False) as editor:
        remove(apps, editor)
    with transaction.atomic():
        copier.copy(quote.inquiry.customer, name="t.name || ' ' || s.i")
        copier.copy(quote.inquiry, idempotency_key=mark)
        first = 1 + copier.copy(quote, number=mark, valid_until="'2199-12-31 00:00:00+00'")
        copier.copy_all(quote.lines.all())
        sequences_set((Customer, Inquiry, Quote, QuoteLine))
        sequences_from(MADE_FROM, Order)
        sequences_from(2 * MADE_FROM, Approval)
    with connection.schema_editor(atomic=False) as editor:
        install(apps, editor)
    return list(range(first, first + number))


class _Enough(Exception):
    """Stops an approval at its end, so that it is rolled back."""


def _recorded(quote: int) -> list[Statement]:
    """Run an approval, roll it back, and return its statements; the order gets a number of its own."""
    from unittest.mock import patch

    from django.db import connection

    from orders.approvals import services

    statements: list[Statement] = []

    def record(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        result = execute(sql, params, many, context)
        if sql.startswith(("SELECT", "INSERT", "UPDATE")):
            made = connection.connection.execute("SELECT lastval()").fetchone()[0] if "RETURNING" in sql else 0
            own = [f"b{quote}" if isinstance(value, str) and _NUMBER.fullmatch(value) else value for value in params]
            statements.append((sql, tuple(own), made))
        return result

    order_from_quote = services.order_from_quote

    def stop(**given: Any) -> None:
        order_from_quote(**given)
        raise _Enough

    with patch.object(services, "order_from_quote", stop), connection.execute_wrapper(record), suppress(_Enough):
        _approve(quote)
    return statements


def _approve(quote: int) -> None:
    from django.utils import timezone

    from orders.approvals.services import ApprovalEvidence, quote_approve
    from orders.quotes.models import Quote

    shown = Quote.objects.values_list("content_sha256", flat=True).get(pk=quote)
    evidence = ApprovalEvidence(ip="192.0.2.1", user_agent="bench")
    quote_approve(quote_id=quote, content_sha256=shown, name="Ida Fenwick", evidence=evidence, at=timezone.now())


def _replay(statements: list[Statement]) -> None:
    """Run statements as one transaction on the driver's own cursor, with the keys that its rows get this time."""
    from django.db import connection

    connection.ensure_connection()
    own: dict[int, int] = {}
    with connection.connection.transaction(), connection.connection.cursor() as cursor:
        for sql, params, made in statements:
            cursor.execute(sql, [_with_keys(value, own) for value in params])
            rows = cursor.fetchall() if cursor.description else ()
            if made >= MADE_FROM:
                own[made] = rows[0][0]


def _with_keys(value: Any, own: dict[int, int]) -> Any:
    if isinstance(value, list):
        return [_with_keys(one, own) for one in value]
    return own.get(value, value) if isinstance(value, int) else value


def _rate(mode: str, work: list[Any]) -> float:
    """Let the clients do the work at once; return how much a second."""
    with tempfile.TemporaryDirectory() as folder:
        started = []
        for at in range(PROCESSES):
            file = Path(folder) / f"{mode}-{at}"
            file.write_bytes(pickle.dumps(work[at::PROCESSES]))
            command = [sys.executable, "-m", "tests.bench.services.approvals", mode, str(file)]
            started.append(subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True))
        for process in started:
            assert process.stdout is not None
            assert process.stdout.readline() == "ready\n"
        for process in started:
            assert process.stdin is not None
            process.stdin.write("go\n")
            process.stdin.flush()
        seconds = [float(process.communicate()[0]) for process in started]
    return len(work) / max(seconds)


def _client(mode: str, file: Path) -> None:
    """Be one of the processes: connect the clients, say so, wait for the word, work, print the seconds."""
    from django.db import connection

    work = pickle.loads(file.read_bytes())  # noqa: S301 - written by the process that started this one
    deed = _approve if mode == "approve" else _replay
    threads = CLIENTS // PROCESSES
    begin = Barrier(threads + 1)

    def run(own: list[Any]) -> None:
        connection.ensure_connection()
        begin.wait()
        for one in own:
            deed(one)
        connection.close()

    with ThreadPoolExecutor(threads) as pool:
        done = [pool.submit(run, work[at::threads]) for at in range(threads)]
        sys.stdout.write("ready\n")
        sys.stdout.flush()
        sys.stdin.readline()
        begun = time.perf_counter()
        begin.wait()
        for one in done:
            one.result()
    sys.stdout.write(f"{time.perf_counter() - begun}\n")


if __name__ == "__main__":
    import django

    django.setup()
    _client(sys.argv[1], Path(sys.argv[2]))
