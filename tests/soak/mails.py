"""1,000 mails through a mail server with bad days: none is lost, and pages and documents do not wait for it.

Some recipients are refused for good: their mails are told to the owner at once, and nothing waits for them.
"""

import threading
import time
from collections import Counter
from contextlib import suppress
from statistics import quantiles

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from catalog.outbox.models import Outbox
from orders.approvals.models import Approval
from orders.approvals.services import quote_reply
from orders.inquiries.models import Customer
from orders.quotes.models import Quote
from tests.factories import BY, customer_data
from tests.sending import own_read
from tests.soak.approvals import approve
from tests.soak.context import Outcome, SentQuote, Soak, check_mails, message_id, try_again, wait_until

MAILS = 1000
#: Real seconds: short, because the server stalls again and again.
_LIMITS = {
    "SOAK_MAIL_TIMEOUT": "1",
    "SOAK_MAIL_LIMIT": "8",
    "SOAK_LIMIT": "120",
    "SOAK_STUCK": "150",
    "SOAK_PDF": "real",
}
_APPROVALS = 4
#: Of 100 replies, how many are taken back before their commit.
_TAKEN_BACK = 10
#: How many of 100 are written to somebody whom the mail server refuses for good, and what the owner reads then.
_REFUSED = 5
_REFUSAL_SHOWN = "refused the recipient&#x27;s address for good. Correct the address, then try again."


class TakenBack(Exception):
    """The transaction that requested a mail goes wrong."""


def prove(soak: Soak) -> Outcome:
    """Request the mails, look at pages meanwhile, let the owner try failed ones again; then count."""
    found = Outcome()
    service = soak.service
    service.start_all(**_LIMITS)
    quotes, gone = soak.quotes(_APPROVALS), soak.quotes(1, customer=customer_data(email="ada@marl.example"))[0]
    soak.wait_for_outbox()
    Customer.objects.filter(email="ada@marl.example").update(email="nobody@marl.example")
    service.stop("mail server")
    service.start_mail("bad")
    rows = _request(soak, quotes, gone, found)
    watcher = Watcher(soak, quotes)
    watcher.start()
    try:
        _documents_meanwhile(soak, quotes, found)
        _until_all_left(Outbox.objects.filter(pk__in=rows).exclude(about=f"quote:{gone.pk}"), found)
        _refused_for_good(soak, gone, found)
    finally:
        watcher.ended.set()
        watcher.join()
    replies, interrupted = Outbox.objects.filter(pk__in=rows), soak.interrupted()
    forgot = sum(interrupted[message_id(row)] for row in replies)
    twice = check_mails(soak, replies, found)
    found.count(watcher.answers)
    found.remarks.append(f"{len(rows)} mails, {forgot} sends interrupted after the server had it, {twice} came twice")
    found.remarks.append(f"{found.done['tried again']} were given up and asked for again")
    found.remarks.append(f"meanwhile {len(watcher.answers)} pages, p95 {watcher.p95() * 1000:.0f} ms")
    return found


def _request(soak: Soak, quotes: list[SentQuote], gone: SentQuote, found: Outcome) -> list[int]:
    """Request a mail per reply; some are taken back, and must never leave; the customer who has moved gets some."""
    last = Outbox.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    reply = quote_reply.__wrapped__  # its transaction is the soak's own here  # type: ignore[attr-defined]
    for number in range(soak.counted(MAILS)):
        quote = gone if number == 0 or soak.chance.random() * 100 < _REFUSED else soak.chance.choice(quotes)
        try:
            with transaction.atomic():
                words = f"Reply {number}"
                read = own_read(Quote.objects.get(pk=quote.pk), words)
                reply(quote_id=quote.pk, text=words, read=read, by=BY, at=timezone.now())
                if number and soak.chance.random() * 100 < _TAKEN_BACK:
                    raise TakenBack
        except TakenBack:
            found.done["failed"] += 1
        else:
            found.done["ok"] += 1
    rows = list(Outbox.objects.filter(pk__gt=last, kind="mail", payload__mail="reply").values_list("pk", flat=True))
    found.must(len(rows) == found.done["ok"], f"{found.done['ok']} replies requested {len(rows)} mails")
    return rows


def _documents_meanwhile(soak: Soak, quotes: list[SentQuote], found: Outcome) -> None:
    """Approve while the mail is stuck: the PDFs are made at once."""
    client = soak.customer(quotes)
    started = time.monotonic()
    found.count([approve(client, quote) for quote in quotes])
    pks = [quote.pk for quote in quotes]
    wait_until(lambda: Approval.objects.filter(quote__in=pks).exclude(pdf=None).count() == len(pks), "PDFs meanwhile")
    found.remarks.append(f"{len(pks)} approvals and their PDFs meanwhile: {time.monotonic() - started:.1f} s")


def _until_all_left(ours: QuerySet[Outbox], found: Outcome) -> None:
    """Wait; what was tried in vain often enough is tried again, as the owner does from her list."""

    def all_left() -> bool:
        found.done["tried again"] += try_again(ours)
        return not ours.exclude(status="done").exists()

    wait_until(all_left, "the mails", 1200)


def _refused_for_good(soak: Soak, gone: SentQuote, found: Outcome) -> None:
    """The owner reads which mails were refused, corrects the address, and tries them again."""
    rows = Outbox.objects.filter(about=f"quote:{gone.pk}", kind="mail", payload__mail="reply")
    with suppress(TimeoutError):  # what is missing is told below
        wait_until(lambda: not rows.exclude(status="failed").exists(), "the refusals", 60)
    states = Counter(rows.values_list("status", flat=True))
    found.must(set(states) == {"failed"}, f"the mails to an address that does not exist are {dict(states)}, not failed")
    refusals = soak.refused()
    found.must(refusals <= rows.count(), f"{rows.count()} mails were refused for good {refusals} times: tried again")
    owner = soak.owner()
    page = owner.get("/mail/?show=failed")
    found.must(_REFUSAL_SHOWN in page.body, "the owner does not read which address was refused for good")
    found.remarks.append(f"{rows.count()} mails to an address that does not exist, {refusals} refusals for good")
    Customer.objects.filter(email="nobody@marl.example").update(email="ada@marl.example")
    for pk in list(rows.values_list("pk", flat=True)):
        found.count([owner.post(f"/mail/{pk}/again/", {})])
    _until_all_left(rows, found)


class Watcher(threading.Thread):
    """Opens pages until told to stop, and keeps how long each took."""

    def __init__(self, soak: Soak, quotes: list[SentQuote]) -> None:
        super().__init__(daemon=True)
        self.ended, self.answers = threading.Event(), []  # type: ignore[var-annotated]
        self._owner, self._customer = soak.owner(), soak.customer(quotes)
        self._pages = [(self._owner, "/mail/"), (self._customer, f"/q/{quotes[0].pk}/")]

    def run(self) -> None:
        """Look at one page after the other."""
        while not self.ended.wait(0.3):
            for client, path in self._pages:
                self.answers.append(client.get(path))

    def p95(self) -> float:
        """Return the time within which 95 of 100 pages came [s]."""
        return quantiles([answer.seconds for answer in self.answers], n=20)[-1]
