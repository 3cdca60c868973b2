"""Processes that answer one quote at the same moment.

``approvals yes COUNT`` lets COUNT phones approve one quote and prints the approval each was told of.
``approvals both ROUNDS`` lets a phone approve and the kitchen withdraw, ROUNDS times, and prints what became of it.
``approvals revised ROUNDS`` lets a phone approve a quote while the kitchen sends its next revision, ROUNDS times.
``approvals slot COUNT ROUNDS`` lets COUNT phones approve a quote each, all for one last slot, ROUNDS times, and prints
how many were approved and how many are still open.
``approvals chosen COUNT`` lets COUNT phones choose the same other window of a quote each, for which there is room for
one, and prints how many were approved, whether for that window, and how many are still open.
Each starts when the clock says so, so that they meet.
"""

import os
import sys
import time
from collections.abc import Callable
from datetime import timedelta

import django
from django.db import connections

django.setup()

from orders.approvals.services import (
    ApprovalEvidence,
    quote_approve,
)
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise, quote_withdraw
from orders.records.errors import OrderError
from tests.factories import (
    BY,
    EVENT,
    NOW,
    kitchen_make,
    sent_make,
)
from tests.integration.orders.approvals.offered import FRIDAY, offering
from tests.integration.orders.approvals.rings import cakes, rings_make
from tests.sending import quote_send_seen

LATER = NOW + timedelta(days=1)


def at_once(*deeds: Callable[[], None]) -> None:
    """Do each deed in a process of its own, all from the same moment on."""
    connections.close_all()
    start = time.time() + 0.3
    pids = []
    for deed in deeds:
        pid = os.fork()
        if not pid:
            status = 1
            try:
                time.sleep(max(0.0, start - time.time()))
                deed()
                status = 0
            finally:
                os._exit(status)
        pids.append(pid)
    failed = [pid for pid in pids if os.waitpid(pid, 0)[1] != 0]
    if failed:
        sys.exit(f"{len(failed)} failed")


def approve(quote: Quote, chosen: int | None = None) -> None:
    """Approve and print the resulting approval."""
    given = quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida",
        evidence=ApprovalEvidence(),
        at=LATER,
        chosen=chosen,
    )
    os.write(1, f"{given.pk}\n".encode())


def quietly(deed: Callable[[], object]) -> Callable[[], None]:
    """Do it, and ignore a refusal."""

    def done() -> None:
        out = os.dup(1)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        try:
            deed()
        except OrderError:
            pass
        finally:
            os.dup2(out, 1)

    return done


def yes(count: int) -> None:
    """Let all phones approve at once."""
    quote = sent_make()
    at_once(*[lambda: approve(quote)] * count)


def both(rounds: int) -> None:
    """Let the customer and the kitchen act at once."""
    for _ in range(rounds):
        quote = sent_make()
        at_once(
            quietly(lambda quote=quote: approve(quote)),  # type: ignore[misc]
            quietly(lambda quote=quote: quote_withdraw(quote_id=quote.pk, by=BY, at=LATER)),  # type: ignore[misc]
        )
        quote.refresh_from_db()
        made = "order" if Order.objects.filter(quote=quote).exists() else "nothing"
        os.write(1, f"{quote.status} {made}\n".encode())


def revised(rounds: int) -> None:
    """Let the customer approve what the kitchen replaces at the same moment."""
    for _ in range(rounds):
        quote = sent_make()
        draft = quote_revise(quote_id=quote.pk, by=BY, at=NOW)
        at_once(
            quietly(lambda quote=quote: approve(quote)),  # type: ignore[misc]
            quietly(lambda draft=draft: quote_send_seen(quote_id=draft.pk, by=BY, at=LATER)),  # type: ignore[misc]
        )
        quote.refresh_from_db()
        draft.refresh_from_db()
        os.write(1, f"{quote.status} {draft.status}\n".encode())


def slot(count: int, rounds: int = 1) -> None:
    """Let customers of different quotes approve at once, where there is room for one table."""
    rings_make(hold=0)
    for number in range(rounds):
        # An event of another month each time, so that the rounds do not meet.
        start = EVENT + timedelta(weeks=4 * number)
        quotes = [cakes(window_start=start) for _ in range(count)]
        at_once(*[quietly(lambda quote=quote: approve(quote)) for quote in quotes])  # type: ignore[misc]
        approved = Order.objects.filter(quote__in=quotes).count()
        open_ = Quote.objects.filter(pk__in=[quote.pk for quote in quotes], status="sent").count()
        os.write(1, f"{approved} {open_}\n".encode())


def chosen(count: int) -> None:
    """Let customers of different quotes choose the same window at once, where there is room for one table then."""
    rings_make(hold=0)
    quotes = [offering(FRIDAY) for _ in range(count)]
    at_once(*[quietly(lambda quote=quote: approve(quote, chosen=1)) for quote in quotes])  # type: ignore[misc]
    windows = list(Order.objects.values_list("window_start", flat=True))
    open_ = Quote.objects.filter(pk__in=[quote.pk for quote in quotes], status="sent", window_chosen=None).count()
    os.write(1, f"{len(windows)} {windows == [FRIDAY]} {open_}\n".encode())


def main() -> None:
    """Race."""
    kitchen_make()
    races = {"yes": yes, "both": both, "revised": revised, "slot": slot, "chosen": chosen}
    races[sys.argv[1]](*map(int, sys.argv[2:]))


if __name__ == "__main__":
    main()
