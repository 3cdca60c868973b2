"""Which amendment of an order is open, what it says of the order, and why one cannot go."""

from collections.abc import Iterable, Iterator

from orders.documents.agreed import content_agreed
from orders.documents.amends import Amends
from orders.documents.content import QuoteContent
from orders.orders.models import Order
from orders.quotes.changes import changes_between
from orders.quotes.models import Quote
from orders.records.amend_errors import AnotherInForce, BelowBegun, NothingAmended, OrderNotOpen
from orders.records.errors import OrderError
from orders.records.states import ORDERS_AHEAD, OrderStatus, QuoteStatus

#: Statuses of amendments that may still change their order.
OPEN = (QuoteStatus.DRAFT, QuoteStatus.SENT)
#: Differences that every new revision has: its dates are taken anew.
_OF_DATES = frozenset(
    {"valid_until", "final_count", "no_final_count", "payments_before"}
    | {"deposit", "deposit_terms", "deposit_days", "deposit_latest"}
)


def amendment_open(order: Order) -> Quote | None:
    """Return the open amendment of an order: the draft, else the one that waits for its answer; one query."""
    found = order.amendments.filter(status__in=OPEN).defer("brief", "estimate")
    return min(found, key=lambda one: one.status != QuoteStatus.DRAFT, default=None)


def amends_of(quote: Quote) -> Amends | None:
    """Return what the content of an amendment says of the order as it is in force; None for other quotes."""
    if quote.amends is None:
        return None
    now = quote.amends.quote
    return Amends(quote.amends.number, now.revision, now.total_minor or 0, now.content_sha256)


def amend_refusals(quote: Quote, content: QuoteContent | None) -> Iterator[OrderError]:
    """Return why an amendment cannot change its order as that is now; ``content`` is what would be sent, or was."""
    order = quote.amends
    if order is None:
        return
    if order.status not in ORDERS_AHEAD:
        yield OrderNotOpen(order=order.number, status=order.status)
    yield from _below_begun(order, quote)
    if content is None:
        return
    if content.amends is not None and content.amends.content_sha256 != order.quote.content_sha256:
        yield AnotherInForce(what=str(quote))
    if not amended(content_agreed(order.quote), content):
        yield NothingAmended(what=str(quote))


def amended(before: QuoteContent, after: QuoteContent) -> bool:
    """Return whether a content changes anything of another besides the dates that every revision has anew."""
    if any(change.code not in _OF_DATES for change in changes_between(before, after)):
        return True
    return before.customer != after.customer or before.event.title != after.event.title


def _below_begun(order: Order, quote: Quote) -> Iterator[BelowBegun]:
    """Find what is in production in a greater number than the amendment has."""
    if order.status != OrderStatus.IN_PRODUCTION:
        return
    wanted: dict[int, int] = dict(quote.lines.values_list("product_id", "units"))
    lines: Iterable[tuple[int, str, int]] = order.lines.values_list("product_id", "name", "units")
    for product, name, begun in lines:
        if (units := wanted.get(product, 0)) < begun:
            yield BelowBegun(name=name, begun=begun, units=units)
