"""The broker goes away and comes back: requests are answered meanwhile, and the work is done afterwards."""

from catalog.outbox.models import Outbox
from tests.soak.approvals import approve
from tests.soak.context import Outcome, Soak, check_approvals, check_mails

APPROVALS = 60


def prove(soak: Soak) -> Outcome:
    """Approve with the broker, without it, and with it again."""
    found = Outcome()
    service = soak.service
    service.start_all()
    quotes = soak.quotes(soak.counted(APPROVALS, least=9))
    client, third = soak.customer(quotes), len(quotes) // 3
    found.count(approve(client, quote) for quote in quotes[:third])
    service.stop("broker", by_force=True)
    without = [approve(client, quote) for quote in quotes[third : 2 * third]]
    found.count(without)
    slowest = max(answer.seconds for answer in without)
    found.remarks.append(f"without the broker the slowest of {len(without)} pages took {slowest * 1000:.0f} ms")
    service.start_broker()
    found.count(approve(client, quote) for quote in quotes[2 * third :])
    soak.wait_for_outbox()
    check_approvals(quotes, found)
    about = [f"quote:{quote.pk}" for quote in quotes]
    check_mails(soak, Outbox.objects.filter(about__in=about, kind="mail"), found)
    return found
