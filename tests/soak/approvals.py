"""32 customers approve one quote at the same moment."""

from functools import partial
from http import HTTPStatus

from catalog.outbox.models import Outbox
from tests.soak.clients import Answer, Client, at_once
from tests.soak.context import BUSY, Outcome, SentQuote, Soak, check_approvals, check_mails

CLIENTS = 32
#: Every so many of them open the page that the answer leads to.
_READ = 8


def prove(soak: Soak) -> Outcome:
    """Let all approve, and some go away before the answer; then count approvals, orders, files and mails."""
    found = Outcome()
    soak.service.start_all()
    quotes = soak.quotes(soak.counted(200))
    clients = [soak.customer(quotes) for _ in range(CLIENTS)]
    for quote in quotes:
        away = soak.chance.randrange(CLIENTS)
        deeds = [partial(_one_of_many, client, quote, number, away) for number, client in enumerate(clients)]
        answers = at_once(deeds)
        found.count(answers)
        for answer in answers:
            found.must(_is_answered(answer, quote), f"quote {quote.number}: a customer got {answer.status}")
    soak.wait_for_outbox()
    check_approvals(quotes, found)
    about = [f"quote:{quote.pk}" for quote in quotes]
    check_mails(soak, Outbox.objects.filter(about__in=about, kind="mail"), found)
    return found


def _one_of_many(client: Client, quote: SentQuote, number: int, away: int) -> Answer:
    if number == away:
        return client.post(*_form(quote), read=False)
    return approve(client, quote) if number % _READ == 0 else client.post(*_form(quote))


def _is_answered(answer: Answer, quote: SentQuote) -> bool:
    """Whether a customer reads or is led to the approval, is refused in words, or has gone."""
    if answer.status == HTTPStatus.FOUND:
        return answer.location == f"/q/{quote.pk}/"
    return answer.status in (0, 409, BUSY) or (answer.status == 200 and "pproved" in answer.body)


def approve(client: Client, quote: SentQuote) -> Answer:
    """Approve, and open the page it leads to."""
    return client.post_and_follow(*_form(quote))


def _form(quote: SentQuote) -> tuple[str, dict[str, str]]:
    return f"/q/{quote.pk}/approve/", {"name": "Ida Fenwick", "content_sha256": quote.sha256}
