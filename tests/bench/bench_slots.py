"""Wall time of an approval that takes its place in the kitchen's plan: looked for before, and taken under the lock.

Run by ``make bench``. A small kitchen that states its places; the tables of a month are
approved one after the other, each beside all that were before it.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from statistics import median
from typing import Any

QUOTES = 60
#: So many tables leave on one day.
A_DAY = 2


def main() -> None:
    """Set up a database of its own, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"COLDSET_DB": str(Path(folder) / "bench.sqlite3"), "COLDSET_LOG_LEVEL": "ERROR"}
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        quotes = _quotes()
        whole, locked, approved = _approvals(quotes)
    lines = [f"{'An approval beside up to ' + str(QUOTES) + ' orders, wall time':48}{'median':>12}{'95 %':>12}"]
    for what, taken in (("with looking for its place", whole), ("its transaction alone", locked)):
        lines.append(f"{what:48}{median(taken):9.1f} ms{sorted(taken)[int(len(taken) * 0.95)]:9.1f} ms")
    lines.append(f"{approved} of {len(quotes)} approved; aim: 250 ms for the transaction")
    sys.stdout.write("\n".join(lines) + "\n")


def _quotes() -> list[Any]:
    from django.utils import timezone

    from catalog.book.revision import catalog_changed
    from catalog.rates.models import Station
    from tests.factories import kitchen_make, sent_make

    kitchen_make()
    Station.objects.update(places=24)
    catalog_changed()
    now = timezone.now()
    first = (now + timedelta(days=30)).replace(hour=19, minute=30, second=0, microsecond=0)
    starts = [first + timedelta(days=number // A_DAY, hours=number % A_DAY) for number in range(QUOTES)]
    # Closed on Sundays and Mondays, it has nothing for a Tuesday either: the tarts may be held for two days.
    return [sent_make(at=now, window_start=start) for start in starts if start.weekday() > 1]


def _approvals(quotes: list[Any]) -> tuple[list[float], list[float], int]:
    from django.utils import timezone

    from orders.approvals import services
    from orders.records.errors import OrderError

    whole: list[float] = []
    locked: list[float] = []
    inner, approved = services._quote_approve, 0
    services._quote_approve = _timed(inner, locked)
    for quote in quotes:
        begun = time.perf_counter()
        try:
            services.quote_approve(
                quote_id=quote.pk,
                content_sha256=quote.content_sha256,
                name="Ida Fenwick",
                evidence=services.ApprovalEvidence(),
                at=timezone.now(),
            )
            approved += 1
        except OrderError:
            continue
        finally:
            whole.append((time.perf_counter() - begun) * 1000)
    return whole, locked, approved


def _timed(deed: Callable[..., Any], taken: list[float]) -> Callable[..., Any]:
    def timed(*args: Any, **facts: Any) -> Any:
        begun = time.perf_counter()
        try:
            return deed(*args, **facts)
        finally:
            taken.append((time.perf_counter() - begun) * 1000)

    return timed


if __name__ == "__main__":
    main()
