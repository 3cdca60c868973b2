"""What every proof works with: the share, the chance, the service, the kitchen's rows; and what it found."""

import json
import random
import time
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import OperationalError
from django.db.models import QuerySet
from django.utils import timezone

from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_retry
from orders.approvals.links import link_create
from orders.approvals.models import Approval, Link
from orders.approvals.selectors import token_hash
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests.factories import BY, draft_make
from tests.sending import quote_send_seen
from tests.soak.clients import Answer, Client, customer, owner
from tests.soak.service import Service

_SATURDAY = 5
#: The status of the page that says "try again in a minute".
BUSY = 503


@dataclass
class Outcome:
    """What a proof did and found: operations by outcome, promises broken, and remarks for the table."""

    done: Counter[str] = field(default_factory=Counter)
    broken: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def count(self, answers: Iterable[Answer]) -> None:
        """Record answers; an error breaks a promise, "try again in a minute" does not."""
        for answer in answers:
            self.done[answer.kind] += 1
            if answer.status >= 500 and answer.status != BUSY:
                self.broken.append(f"a page answered {answer.status}")

    def must(self, is_so: bool, sentence: str) -> None:
        """Record a promise that was not kept."""
        if not is_so:
            self.broken.append(sentence)


@dataclass(frozen=True, slots=True)
class SentQuote:
    """A quote with its PDF and the customer's link to it."""

    pk: int
    number: str
    sha256: str
    link: int


@dataclass
class Soak:
    """The service on one database."""

    share: float
    chance: random.Random
    service: Service
    user: User
    vendor: str

    def counted(self, whole: int, least: int = 1) -> int:
        """Return this run's share of a number."""
        return max(least, round(whole * self.share))

    @property
    def patience(self) -> float:
        """Seconds that all the work of a proof may take."""
        return 120 + 1800 * self.share

    def customer(self, quotes: Iterable[SentQuote]) -> Client:
        """Return a customer's browser that may answer these quotes."""
        return customer(self.service.port, [quote.link for quote in quotes])

    def owner(self) -> Client:
        """Return the owner's browser."""
        return owner(self.service.port, self.user)

    def quotes(self, count: int, **facts: Any) -> list[SentQuote]:
        """Send quotes, wait for their PDFs, and open a link to each."""
        now = timezone.now()
        drafts = [draft_make(at=now, window_start=event(now), **facts) for _ in range(count)]
        sent = [quote_send_seen(quote_id=draft.pk, by=BY, at=now) for draft in drafts]
        wait_until(
            lambda: not Quote.objects.filter(pk__in=[quote.pk for quote in sent], pdf=None).exists(),
            "the quotes' PDFs",
            self.patience,
        )
        return [_linked(quote, now) for quote in sent]

    def arm(self, name: str) -> Path:
        """Arm a crash point or a fault of the storage, until its file is gone."""
        file = self.service.folder / name
        file.touch()
        return file

    def mails(self) -> Counter[str]:
        """Return how often each Message-ID arrived."""
        return self._mail_events("accepted")

    def interrupted(self) -> Counter[str]:
        """Return how often the sending of each Message-ID was interrupted after the server had accepted it."""
        return self._mail_events("interrupted")

    def refused(self) -> int:
        """Return how often the mail server refused a recipient for good."""
        return self._mail_events("refused for good").total()

    def _mail_events(self, event: str) -> Counter[str]:
        file = self.service.mail_file
        lines = [json.loads(line) for line in file.read_text().splitlines()] if file.exists() else []
        return Counter(line["id"] for line in lines if line["event"] == event)

    def wait_for_outbox(self) -> int:
        """Wait until all work of the outbox is done; return how often the owner had to ask again.

        Work that met one death after the other is given up, until the owner asks for it from her list.
        """
        again = 0

        def all_done() -> bool:
            nonlocal again
            again += try_again(Outbox.objects.all())
            return not Outbox.objects.exclude(status="done").exists()

        wait_until(all_done, "the outbox's work", self.patience)
        return again


def try_again(rows: QuerySet[Outbox]) -> int:
    """Ask again for those of the rows that were given up; return how many."""
    given_up = list(rows.filter(status="failed").values_list("pk", flat=True))
    for pk in given_up:
        outbox_retry(row_id=pk, at=timezone.now())
    return len(given_up)


def event(now: datetime) -> datetime:
    """Return the Saturday for which quotes are asked, some weeks from now."""
    zone = ZoneInfo(kitchen().time_zone)
    day = now.astimezone(zone) + timedelta(days=40)
    day += timedelta(days=(_SATURDAY - day.weekday()) % 7)
    return day.replace(hour=15, minute=30, second=0, microsecond=0)


def _linked(quote: Quote, at: datetime) -> SentQuote:
    link = Link.objects.get(token_sha256=token_hash(link_create(quote_id=quote.pk, at=at)))
    return SentQuote(quote.pk, quote.number, quote.content_sha256, link.pk)


def wait_until(is_so: Callable[[], bool], what: str, seconds: float = 120) -> None:
    """Wait for something; TimeoutError says what it was."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        try:
            if is_so():
                return
        except OperationalError:  # the database is locked or away for a moment
            pass
        time.sleep(0.1)
    raise TimeoutError(f"{what}: not within {seconds:.0f} seconds")


def check_approvals(quotes: Sequence[SentQuote], found: Outcome) -> None:
    """Each quote has one approval, one order, and each of its PDFs and mails requested once."""
    for quote in quotes:
        about = Outbox.objects.filter(about=f"quote:{quote.pk}")
        there = {
            "approval": Approval.objects.filter(quote=quote.pk, content_sha256=quote.sha256).count(),
            "approved quote": Quote.objects.filter(pk=quote.pk, status="approved").count(),
            "order": Order.objects.filter(quote=quote.pk).count(),
            "stored PDF": Approval.objects.filter(quote=quote.pk).exclude(pdf=None).count(),
            "request of the PDF": about.filter(kind="approval_pdf").count(),
            "mail to the kitchen": about.filter(kind="mail", payload__mail="kitchen_approved").count(),
            "mail to the customer": about.filter(kind="mail", payload__mail="approved").count(),
        }
        for what, count in there.items():
            found.must(count == 1, f"quote {quote.number}: {count} × {what}")


def message_id(row: Outbox) -> str:
    """Return the Message-ID of a row's mail."""
    return f"<outbox-{row.message_key}@localhost>"


def check_mails(soak: Soak, rows: Iterable[Outbox], found: Outcome, doubles: int = 0) -> int:
    """Each mail arrived, once but for interrupted sends; return how many arrived twice.

    The mail server knows of interrupted dialogues; ``doubles`` counts those that it cannot know of, because the process
    died after its goodbye.
    """
    received, interrupted = soak.mails(), soak.interrupted()
    twice = unexplained = 0
    for row in rows:
        name = message_id(row)
        count = received[name]
        found.must(row.status == "done", f"mail {row.pk} is {row.status} ({row.error})")
        found.must(count >= 1, f"mail {row.pk} never arrived")
        twice += max(0, count - 1)
        unexplained += max(0, count - 1 - interrupted[name])
    found.must(unexplained <= doubles, f"{unexplained} mails arrived again, where {doubles} were interrupted")
    return twice
