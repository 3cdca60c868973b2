"""The disk is full, or the database read-only: pages say so, nothing is half written, and it goes on by itself."""

import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.db import connection

from catalog.outbox.models import Outbox
from orders.approvals.models import Approval
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests.soak.approvals import approve
from tests.soak.clients import Answer, Client
from tests.soak.context import BUSY, Outcome, SentQuote, Soak, check_approvals, check_mails
from tests.soak.postgres_disk import end_connections, full_disk

#: Seconds each fault lasts; a whole run's is a minute.
LASTS = 60
EACH = 20
#: Seconds between two tries.
_BETWEEN = 0.05


def prove(soak: Soak) -> Outcome:
    """Approve before, during and after each fault, and look what is stored."""
    found = Outcome()
    soak.service.start_all()
    for name, fault in {"read-only": _read_only, "disk full": _disk_full}.items():
        _during(name, fault, soak, found)
    return found


def _during(name: str, fault: Callable[[Soak], Iterator[str]], soak: Soak, found: Outcome) -> None:
    quotes = soak.quotes(soak.counted(EACH, least=16))
    soak.wait_for_outbox()
    client = soak.customer(quotes)
    before, meanwhile = quotes[: len(quotes) // 2], quotes[len(quotes) // 2 :]
    found.count(approve(client, quote) for quote in before)
    with contextmanager(fault)(soak) as how:
        answers = _until_it_ends(client, meanwhile, LASTS * min(1.0, soak.share))
        statuses = Counter(answer.status for answer in answers.values())
        pages = ", ".join(f"{status} × {count}" for status, count in sorted(statuses.items()))
        found.remarks.append(f"{name} ({how}): the last answers were {pages}")
        found.count(answers.values())
        refused = [quote for quote in meanwhile if answers[quote.pk].status != 200]
        # On a full disk the last free pages of the file can still take an approval.
        found.must(bool(refused), f"{name}: every approval was taken")
        _in_words(name, [answers[quote.pk] for quote in refused], found)
        _nothing_written(name, refused, found)
    found.count(approve(client, quote) for quote in meanwhile)
    soak.wait_for_outbox()
    check_approvals(quotes, found)
    about = [f"quote:{quote.pk}" for quote in quotes]
    interrupted = len(quotes)  # a mail that has left cannot be recorded meanwhile
    twice = check_mails(soak, Outbox.objects.filter(about__in=about, kind="mail"), found, interrupted)
    found.remarks.append(f"{name}: {twice} mails came twice")


def _in_words(name: str, answers: list[Answer], found: Outcome) -> None:
    when = "in a few minutes" if name == "disk full" else "in a minute"
    for answer in answers:
        in_words = answer.status == BUSY and when in answer.body
        found.must(in_words, f"{name}: a page answered {answer.status} instead of 503 in words")
        found.must('value="Ida Fenwick"' in answer.body, f"{name}: the page did not keep the name that was typed")


def _until_it_ends(client: Client, quotes: list[SentQuote], seconds: float) -> dict[int, Answer]:
    """Try to approve again and again, and return the last answer for each quote."""
    ends = time.monotonic() + seconds
    answers: dict[int, Answer] = {}
    while not answers or time.monotonic() < ends:
        for quote in quotes:
            answers[quote.pk] = approve(client, quote)
            time.sleep(_BETWEEN)
    return answers


def _nothing_written(name: str, quotes: list[SentQuote], found: Outcome) -> None:
    pks = [quote.pk for quote in quotes]
    found.must(Quote.objects.filter(pk__in=pks, status="sent").count() == len(pks), f"{name}: a quote changed")
    found.must(not Approval.objects.filter(quote__in=pks).exists(), f"{name}: an approval is stored")
    found.must(not Order.objects.filter(quote__in=pks).exists(), f"{name}: an order is stored")


def _disk_full(soak: Soak) -> Iterator[str]:
    """Let no new connection make the database any larger (:mod:`tests.soak.faults`); old ones end."""
    if soak.vendor == "postgresql":
        with full_disk(soak.service.folder / "disk-full") as how:
            yield how
        return
    file = soak.arm("disk-full")
    try:
        yield "SQLite's own limit of pages"
    finally:
        file.unlink()


def _read_only(soak: Soak) -> Iterator[str]:
    """Let every new connection read alone, and end those there are."""
    if soak.vendor == "sqlite":
        file = soak.arm("read-only")
        try:
            yield "each new connection"
        finally:
            file.unlink()
        return
    _postgres_read_only("on")
    try:
        yield "the whole database"
    finally:
        _postgres_read_only("off")


def _postgres_read_only(value: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SET SESSION CHARACTERISTICS AS TRANSACTION READ WRITE")
        cursor.execute(
            f'ALTER DATABASE "{connection.settings_dict["NAME"]}" SET default_transaction_read_only = {value}'
        )
    end_connections()
