"""The disk is full, or the database read-only: pages say so, nothing is half written, and it goes on by itself."""

import os
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

from django.db import connection

from catalog.outbox.models import Outbox
from orders.approvals.models import Approval
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests.soak.approvals import approve
from tests.soak.clients import Client
from tests.soak.context import BUSY, Outcome, SentQuote, Soak, check_approvals, check_mails

#: Seconds each fault lasts; a whole run's is a minute.
LASTS = 60
EACH = 20


def prove(soak: Soak) -> Outcome:
    """Approve before, during and after each fault, and look what is stored."""
    found = Outcome()
    soak.service.start_web()
    faults: dict[str, Callable[[Soak], Iterator[None]]] = {"read-only": _read_only}
    if soak.vendor == "sqlite":
        faults["disk-full"] = _disk_full
    else:
        found.remarks.append("disk full: not made here; it needs a volume of its own for PostgreSQL")
    for name, fault in faults.items():
        _during(name, fault, soak, found)
    return found


def _during(name: str, fault: Callable[[Soak], Iterator[None]], soak: Soak, found: Outcome) -> None:
    quotes = soak.quotes(soak.counted(EACH, least=16))
    soak.wait_for_outbox()
    client = soak.customer(quotes)
    before, meanwhile = quotes[: len(quotes) // 2], quotes[len(quotes) // 2 :]
    found.count(approve(client, quote) for quote in before)
    with contextmanager(fault)(soak):
        answers = _until_it_ends(client, meanwhile, LASTS * min(1.0, soak.share))
        pages = ", ".join(f"{status} × {count}" for status, count in sorted(Counter(answers.values()).items()))
        found.remarks.append(f"{name}: the last answers were {pages}")
        found.done["failed"] += len(answers)
        refused = [quote for quote in meanwhile if answers[quote.pk] != 200]
        # On a full disk the last free pages of the file can still take an approval.
        found.must(bool(refused), f"{name}: every approval was taken")
        found.must({answers[quote.pk] for quote in refused} <= {BUSY}, f"{name}: {pages}, instead of 503 in words")
        _nothing_written(name, refused, found)
    found.count(approve(client, quote) for quote in meanwhile)
    soak.wait_for_outbox()
    check_approvals(quotes, found)
    about = [f"quote:{quote.pk}" for quote in quotes]
    interrupted = len(quotes)  # a mail that has left cannot be recorded meanwhile
    twice = check_mails(soak, Outbox.objects.filter(about__in=about, kind="mail"), found, interrupted)
    found.remarks.append(f"{name}: {twice} mails came twice")


def _until_it_ends(client: Client, quotes: list[SentQuote], seconds: float) -> dict[int, int]:
    """Try to approve again and again, and return the last answer for each quote."""
    ends = time.monotonic() + seconds
    answers: dict[int, int] = {}
    while not answers or time.monotonic() < ends:
        for quote in quotes:
            answers[quote.pk] = approve(client, quote).status
    return answers


def _nothing_written(name: str, quotes: list[SentQuote], found: Outcome) -> None:
    pks = [quote.pk for quote in quotes]
    found.must(Quote.objects.filter(pk__in=pks, status="sent").count() == len(pks), f"{name}: a quote changed")
    found.must(not Approval.objects.filter(quote__in=pks).exists(), f"{name}: an approval is stored")
    found.must(not Order.objects.filter(quote__in=pks).exists(), f"{name}: an order is stored")


def _disk_full(soak: Soak) -> Iterator[None]:
    """Let no new connection make the file any larger (:mod:`tests.soak.faults`); old ones do not outlive a request."""
    file = soak.arm("disk-full")
    try:
        yield
    finally:
        file.unlink()


def _read_only(soak: Soak) -> Iterator[None]:
    """Let every new connection read alone, and end those there are."""
    if soak.vendor == "sqlite":
        file = soak.arm("read-only")
        try:
            yield
        finally:
            file.unlink()
        return
    _postgres_read_only("on")
    try:
        yield
    finally:
        _postgres_read_only("off")


def _postgres_read_only(value: str) -> None:
    name = urlsplit(os.environ["COLDSET_DATABASE_URL"]).path.lstrip("/")
    with connection.cursor() as cursor:
        cursor.execute("SET SESSION CHARACTERISTICS AS TRANSACTION READ WRITE")
        cursor.execute(f'ALTER DATABASE "{name}" SET default_transaction_read_only = {value}')
        cursor.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s AND pid <> pg_backend_pid()",
            [name],
        )
