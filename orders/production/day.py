"""The overview of a day: departures, work to begin, unanswered inquiries and quotes, receivables, failed mails."""

from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, Sum
from djmoney.money import Money

from catalog.kitchen.selectors import kitchen, kitchen_zone, local_day
from catalog.outbox.models import Outbox
from orders.approvals.models import Message
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.documents.content import QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.invoices.deposits import deposits_late
from orders.invoices.models import Invoice
from orders.invoices.receivables import not_invoiced, open_invoices
from orders.orders.models import Order
from orders.production.latest_starts import latest_starts
from orders.quotes.cooling.selectors import cannot_be_approved
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, labels_changed, since_now
from orders.quotes.models import Quote
from orders.records.money import from_minor
from orders.records.states import ORDERS_AHEAD, OrderStatus, QuoteStatus

#: Number of days ahead whose orders are listed as the next ones to begin.
LOOK_AHEAD = 7
EXPIRING = timedelta(days=3)
SHOWN = 12


@dataclass(frozen=True)
class Leaving:
    """A departing order with its hand-over from the content, and what of it has to be measured or was."""

    order: Order
    content: QuoteContent
    begin_by: datetime | None = None
    cooling: tuple[CoolingMark, ...] = ()
    since: SinceQuote = NOTHING_CHANGED


@dataclass(frozen=True)
class Owed:
    """What is overdue or has to be done about money; the sum covers the kitchen's currency only."""

    overdue: list[Invoice]
    overdue_count: int
    overdue_sum: Money
    due: list[Invoice]
    deposits: list[Order]
    not_invoiced: list[Order]


@dataclass(frozen=True)
class Day:
    """The data of the page; the owner's part is empty for the kitchen role.

    ``held_up`` are the keys of waiting quotes that cannot be approved before it is recorded what is measured instead
    of a broken cooling rule, or before what never gets cold does; ``labels_changed`` those whose allergens changed.
    """

    today: date
    tomorrow: date
    leaving_today: list[Leaving]
    leaving_tomorrow: list[Leaving]
    late: list[Leaving]
    next: list[Leaving]
    waiting: list[Quote] = field(default_factory=list)
    waiting_count: int = 0
    held_up: frozenset[int] = frozenset()
    labels_changed: frozenset[int] = frozenset()
    messages: list[Message] = field(default_factory=list)
    inquiries: list[Inquiry] = field(default_factory=list)
    failed: list[Outbox] = field(default_factory=list)
    owed: Owed | None = None


def the_day(*, at: datetime, owner: bool) -> Day:
    """Return the overview of a day in a fixed number of queries."""
    zone = kitchen_zone()
    today = local_day(at, zone)
    tomorrow = today + timedelta(days=1)
    orders = list(_ahead(at, today + timedelta(LOOK_AHEAD)))
    starts = latest_starts([order for order in orders if order.status == OrderStatus.CONFIRMED], at=at)
    marks = cooling_marks(orders)
    rows = [
        Leaving(
            order,
            content_read(order.quote.content),
            starts.get(order.pk),
            tuple(marks.get(order.pk, {}).values()),
        )
        for order in orders
    ]
    since = since_now([(row.content, row.order.quote.inquiry) for row in rows])
    rows = [replace(row, since=changed) for row, changed in zip(rows, since, strict=True)]
    days = [(local_day(row.order.window_start, zone), row) for row in rows]
    made = (OrderStatus.DELIVERED, OrderStatus.CLOSED)
    return Day(
        today=today,
        tomorrow=tomorrow,
        leaving_today=[row for day, row in days if day == today],
        leaving_tomorrow=[row for day, row in days if day == tomorrow],
        late=[row for day, row in days if day < today and row.order.status not in made],
        next=[row for day, row in days if day > tomorrow and row.order.status == OrderStatus.CONFIRMED],
        **(_owners(at, today) if owner else {}),
    )


def _ahead(at: datetime, last: date) -> QuerySet[Order]:
    """Return the orders up to a day that are not handed over, and those handed over today."""
    start = datetime.combine(local_day(at), datetime.min.time(), kitchen_zone())
    end = datetime.combine(last + timedelta(days=1), datetime.min.time(), kitchen_zone())
    delivered = Q(status=OrderStatus.DELIVERED, window_start__gte=start)
    orders = Order.objects.filter(Q(status__in=ORDERS_AHEAD) | delivered, window_start__lt=end)
    orders = orders.select_related("customer", "quote__inquiry").defer("quote__brief", "quote__estimate")
    return orders.prefetch_related("lines__product").order_by("window_start", "pk")


def _owners(at: datetime, today: date) -> dict[str, Any]:
    waiting = Quote.objects.filter(status=QuoteStatus.SENT).select_related("inquiry__customer")
    waiting = waiting.defer("brief", "estimate").order_by("valid_until")
    shown = list(waiting.prefetch_related("lines__product")[:SHOWN])
    return {
        "waiting": shown,
        "held_up": cannot_be_approved(shown),
        "labels_changed": labels_changed(shown),
        "waiting_count": waiting.count(),
        "messages": list(_unseen()),
        "inquiries": list(_unanswered(at)),
        "failed": list(Outbox.objects.filter(status=Outbox.Status.FAILED).order_by("-pk")[:SHOWN]),
        "owed": _owed(today),
    }


def _unseen() -> QuerySet[Message]:
    messages = Message.objects.filter(seen_at__isnull=True).exclude(kind=Message.Kind.REPLY)
    return messages.select_related("quote__inquiry__customer").defer("quote__content", "quote__estimate")[:SHOWN]


def _unanswered(at: datetime) -> QuerySet[Inquiry]:
    """Return open inquiries without a sent quote."""
    sent = Quote.objects.filter(inquiry=OuterRef("pk")).exclude(status=QuoteStatus.DRAFT)
    open_ones = Inquiry.objects.filter(~Exists(sent), closed_at__isnull=True, window_start__gte=at)
    return open_ones.select_related("customer").order_by("received_at")[:SHOWN]


def _owed(today: date) -> Owed:
    currency = kitchen().currency
    overdue = open_invoices().filter(due_on__lt=today)
    ours = overdue.filter(currency=currency).order_by().aggregate(all=Sum("open", default=0))["all"]
    due = open_invoices().filter(due_on__gte=today, due_on__lte=today + timedelta(days=LOOK_AHEAD))
    return Owed(
        overdue=list(overdue[:SHOWN]),
        overdue_count=overdue.count(),
        overdue_sum=from_minor(ours, currency),
        due=list(due[:SHOWN]),
        deposits=list(deposits_late(today=today)[:SHOWN]),
        not_invoiced=list(not_invoiced()[:SHOWN]),
    )
