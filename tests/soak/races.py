"""A customer approves while the kitchen sends the next revision or withdraws, or while the customer declines."""

from collections import Counter
from collections.abc import Callable
from functools import partial

from django.utils import timezone

from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from tests.factories import BY
from tests.integration.orders.quotes.send.ticks import ticks
from tests.soak.approvals import approve
from tests.soak.clients import Answer, Client, at_once
from tests.soak.context import Outcome, SentQuote, Soak


def prove(soak: Soak) -> Outcome:
    """Race each pair, and look what stands afterwards."""
    found = Outcome()
    soak.service.start_all()
    owner = soak.owner()
    for name, rival in (("revise", _revise), ("withdraw", _withdraw), ("decline", _decline)):
        quotes = soak.quotes(soak.counted(200))
        first, second = soak.customer(quotes), soak.customer(quotes)
        won: Counter[str] = Counter()
        for quote in quotes:
            other = owner if name != "decline" else second
            deeds = [partial(approve, first, quote), rival(quote, other)]
            soak.chance.shuffle(deeds)
            answers = at_once(deeds)
            found.count(answers)
            found.must(all(answer.status for answer in answers), f"{name}: a client was left without an answer")
            won[_check(quote, name, found)] += 1
        found.remarks.append(f"{name}: {', '.join(f'{status} {count}' for status, count in sorted(won.items()))}")
    soak.wait_for_outbox()
    return found


def _check(quote: SentQuote, name: str, found: Outcome) -> str:
    """One outcome stands, and an order exists where it is the approval."""
    states = dict(Quote.objects.filter(number=quote.number).order_by("revision").values_list("revision", "status"))
    standing = [status for status in states.values() if status in ("sent", "approved")]
    expected = {"revise": {1}, "withdraw": {0, 1}, "decline": {0, 1}}[name]
    found.must(len(standing) in expected, f"{name}: {quote.number} stands {len(standing)} times: {states}")
    found.must(states[1] != "sent", f"{name}: nobody won {quote.number}")
    orders = Order.objects.filter(quote__number=quote.number).count()
    found.must(orders == (states[1] == "approved"), f"{name}: {quote.number} is {states} with {orders} orders")
    return states[1]


def _revise(quote: SentQuote, owner: Client) -> Callable[[], Answer]:
    draft = quote_revise(quote_id=quote.pk, by=BY, at=timezone.now())
    return partial(owner.post_and_follow, f"/quotes/{draft.pk}/send/", ticks(draft, timezone.now()))


def _withdraw(quote: SentQuote, owner: Client) -> Callable[[], Answer]:
    return partial(owner.post_and_follow, f"/quotes/{quote.pk}/withdraw/", {"reason": "The oven is broken."})


def _decline(quote: SentQuote, client: Client) -> Callable[[], Answer]:
    return partial(client.post_and_follow, f"/q/{quote.pk}/decline/", {"reason": "Too dear."})
