"""32 customers approve one quote at the same moment."""

from functools import partial

from catalog.outbox.models import Outbox
from tests.soak.clients import Answer, Client, at_once
from tests.soak.context import BUSY, Outcome, SentQuote, Soak, check_approvals, check_mails

CLIENTS = 32


def prove(soak: Soak) -> Outcome:
    """Let all approve, and some go away before the answer; then count approvals, orders, files and mails."""
    found = Outcome()
    soak.service.start_web()
    quotes = soak.quotes(soak.counted(200))
    clients = [soak.customer(quotes) for _ in range(CLIENTS)]
    for quote in quotes:
        away = soak.chance.randrange(CLIENTS)
        answers = at_once([partial(approve, client, quote, number != away) for number, client in enumerate(clients)])
        found.count(answers)
        for answer in answers:
            is_answered = answer.status in (0, 409, BUSY) or (answer.status == 200 and "pproved" in answer.body)
            found.must(is_answered, f"quote {quote.number}: a customer got {answer.status} without the approval")
    soak.wait_for_outbox()
    check_approvals(quotes, found)
    about = [f"quote:{quote.pk}" for quote in quotes]
    check_mails(soak, Outbox.objects.filter(about__in=about, kind="mail"), found)
    return found


def approve(client: Client, quote: SentQuote, read: bool = True) -> Answer:
    """Approve, and open the page it leads to."""
    path, values = f"/q/{quote.pk}/approve/", {"name": "Ida Fenwick", "content_sha256": quote.sha256}
    return client.post_and_follow(path, **values) if read else client.post(path, read=False, **values)
