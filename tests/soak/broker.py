"""The broker goes away and comes back: requests are answered meanwhile, and the work is done afterwards."""

import subprocess
from contextlib import suppress

from catalog.outbox.models import Outbox
from tests.soak.approvals import approve
from tests.soak.context import Outcome, Soak, check_approvals, check_mails
from tests.soak.service import free_port

APPROVALS = 60


def prove(soak: Soak) -> Outcome:
    """Approve with the broker, without it, and with it again, on a broker of its own that can be killed."""
    found = Outcome()
    service = soak.service
    port, before = free_port(), service.broker
    quotes = soak.quotes(soak.counted(APPROVALS, least=9))
    soak.wait_for_outbox()
    service.stop("web")
    service.stop_outbox()
    broker = _start(port)
    try:
        service.broker = f"redis://127.0.0.1:{port}/0"
        service.start_web()
        service.start_outbox()
        client, third = soak.customer(quotes), len(quotes) // 3
        found.count(approve(client, quote) for quote in quotes[:third])
        broker.kill()
        broker.wait()
        without = [approve(client, quote) for quote in quotes[third : 2 * third]]
        found.count(without)
        slowest = max(answer.seconds for answer in without)
        found.remarks.append(f"without the broker the slowest of {len(without)} pages took {slowest * 1000:.0f} ms")
        broker = _start(port)
        found.count(approve(client, quote) for quote in quotes[2 * third :])
        soak.wait_for_outbox()
        check_approvals(quotes, found)
        about = [f"quote:{quote.pk}" for quote in quotes]
        check_mails(soak, Outbox.objects.filter(about__in=about, kind="mail"), found)
    finally:
        service.stop_outbox()
        service.stop("web")
        service.broker = before
        service.start_web()
        service.start_outbox()
        broker.kill()
        with suppress(subprocess.TimeoutExpired):
            broker.wait(timeout=10)
    return found


def _start(port: int) -> subprocess.Popen[bytes]:
    options = ["--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"]
    return subprocess.Popen(["redis-server", *options], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
