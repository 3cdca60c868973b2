"""32 customers approve different quotes at the same moment, with room for one of them."""

from functools import partial

from django.utils import timezone

from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.planning.models import KitchenPlan
from orders.quotes.models import Quote
from tests.factories import BY, line_make, table_make
from tests.integration.orders.approvals.rings import rings_make
from tests.soak.approvals import approve
from tests.soak.clients import at_once
from tests.soak.context import BUSY, Outcome, Soak

CLIENTS = 32


def prove(soak: Soak) -> Outcome:
    """Let all approve; cancel the order of whoever won, send one more quote in its place, and again."""
    found = Outcome()
    soak.service.start_all()
    rings_make(hold=0)
    facts = {"table": table_make(lines=(line_make("walnut-cake", 4),), extras=())}
    rounds = soak.counted(200)
    # All are sent for the same half hour; whoever has lost tries again in the next round.
    quotes = soak.quotes(CLIENTS + rounds - 1, **facts)
    clients = [soak.customer(quotes) for _ in range(CLIENTS)]
    waiting = {quote.pk: quote for quote in quotes[:CLIENTS]}
    more = iter(quotes[CLIENTS:])
    for number in range(rounds):
        before = KitchenPlan.objects.values_list("version", flat=True).first() or 0
        deeds = [partial(approve, client, quote) for client, quote in zip(clients, waiting.values(), strict=True)]
        soak.chance.shuffle(deeds)
        answers = at_once(deeds)
        found.count(answers)
        found.must(all(answer.status for answer in answers), "a client was left without an answer")
        orders = list(Order.objects.filter(quote__in=[*waiting]).exclude(status="canceled"))
        busy = sum(answer.status == BUSY for answer in answers)
        found.must(len(orders) == 1, f"round {number}: {len(orders)} orders for one slot, {busy} were asked to wait")
        sent = Quote.objects.filter(pk__in=[*waiting], status="sent").count()
        found.must(sent == CLIENTS - len(orders), f"round {number}: {sent} quotes are still open")
        version = KitchenPlan.objects.values_list("version", flat=True).get()
        found.must(version == before + len(orders), f"round {number}: the plan moved on by {version - before}")
        for order in orders:
            order_cancel(order_id=order.pk, reason="Rain", by=BY, at=timezone.now())
            del waiting[order.quote_id]
            if (one := next(more, None)) is not None:
                waiting[one.pk] = one
        if len(waiting) < CLIENTS:
            break
    soak.wait_for_outbox()
    return found
