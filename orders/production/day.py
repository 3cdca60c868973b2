"""The overview of a day: what begins and leaves, the week, unanswered inquiries and quotes, money, failed mails."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet, Sum
from djmoney.money import Money

from catalog.kitchen.selectors import kitchen, kitchen_zone, local_day
from catalog.outbox.models import Outbox
from orders.approvals.models import Message
from orders.cooling_log.likely import all_minded, likely_of_orders
from orders.cooling_log.limits import LateLimit, late_limits
from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.plans import leaves_at
from orders.cooling_log.presenters import MarkShown
from orders.cooling_log.selectors import CoolingMark, book_now, cooling_marks
from orders.cooling_log.step_presenters import step_marks
from orders.cooling_log.steps_open import open_steps
from orders.cooling_log.unsafe import orders_unsafe
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent
from orders.inquiries.models import Inquiry
from orders.invoices.models import ScheduledPayment
from orders.invoices.parts import DuePart, open_by, with_parts
from orders.invoices.receivables import Credit, charges_waiting, not_invoiced, open_invoices, refunds_due
from orders.invoices.schedule import scheduled_late, scheduled_waiting
from orders.orders.informing import NOBODY_TO_INFORM, Informing, informing
from orders.orders.latest_starts import Start, latest_starts
from orders.orders.models import Order
from orders.orders.selectors import orders_untold
from orders.quotes.cooling.approvable import cannot_be_approved
from orders.quotes.cooling.remarked import Minded
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, labels_changed, since_now
from orders.quotes.draft.message_answers import is_urgent
from orders.quotes.models import Quote
from orders.records.money import from_minor
from orders.records.states import ORDERS_AHEAD, OrderStatus, QuoteStatus

#: Number of days ahead whose orders are listed.
LOOK_AHEAD = 7
EXPIRING = timedelta(days=3)
#: How long an approval is news.
NEWS = timedelta(days=3)
SHOWN = 12
#: Most orders after these days that are looked through for what customers have to be informed of.
MOST_LATER = 200


@dataclass(frozen=True)
class Leaving:
    """A departing order with its hand-over from the content, and what of it has to be measured or was.

    ``likely`` is what is to be measured, although nothing waits for it.
    """

    order: Order
    content: QuoteContent
    begins: Start | None = None
    cooling: tuple[CoolingMark, ...] = ()
    likely: tuple[Minded, ...] = ()
    since: SinceQuote = NOTHING_CHANGED
    informing: Informing = NOBODY_TO_INFORM
    limit: LateLimit | None = None
    steps: list[MarkShown] = field(default_factory=list)

    @property
    def begin_by(self) -> datetime | None:
        """When its work begins, as far as that is known."""
        return None if self.begins is None else self.begins.moment

    @property
    def unplanned(self) -> bool:
        """Whether that is not what the kitchen's plan says, because something has no place there yet."""
        return self.begins is not None and self.begins.unplanned

    @property
    def not_begun(self) -> bool:
        """Whether its next moment is the latest start of its work, as far as that is known."""
        return self.begin_by is not None and self.order.status == OrderStatus.CONFIRMED

    @property
    def next_at(self) -> datetime:
        """The next moment of the order: its work begins at the latest, or it leaves."""
        return self.begin_by if self.begin_by is not None and self.not_begun else leaves_at(self.order)


@dataclass(frozen=True)
class Owed:
    """What is due soon or overdue, and what to invoice or refund; the sum covers the kitchen's currency only."""

    due: list[DuePart]
    scheduled_due: list[ScheduledPayment]
    overdue: list[DuePart]
    overdue_count: int
    overdue_sum: Money
    scheduled_late: list[ScheduledPayment]
    not_invoiced: list[Order]
    refunds: list[Credit]


@dataclass(frozen=True)
class Day:
    """The data of the page; each role's part is empty for the others.

    ``coming`` is what must begin or leave, what comes first first; ``week`` what leaves on each of seven days.
    ``held_up`` are the keys of waiting quotes that cannot be approved before it is recorded what is measured instead
    of a broken cooling rule, or because of what may never get cold; ``labels_changed`` those whose allergens changed.
    ``untold`` are later orders than those, of which customers have to be informed, or wrote what may be a need;
    ``unsafe`` later ones whose cooling the owner has to settle.
    """

    today: date
    week: list[tuple[date, list[Order]]]
    coming: list[Leaving] = field(default_factory=list)
    late: list[Leaving] = field(default_factory=list)
    approved: list[Order] = field(default_factory=list)
    amended: list[Order] = field(default_factory=list)
    waiting: list[Quote] = field(default_factory=list)
    waiting_count: int = 0
    held_up: frozenset[int] = frozenset()
    labels_changed: frozenset[int] = frozenset()
    messages: list[Message] = field(default_factory=list)
    messages_count: int = 0
    untold: list[Order] = field(default_factory=list)
    unsafe: list[Order] = field(default_factory=list)
    inquiries: list[Inquiry] = field(default_factory=list)
    failed: list[Outbox] = field(default_factory=list)
    owed: Owed | None = None


def the_day(*, at: datetime, owner: bool = False, makes: bool = True, money: bool = False) -> Day:
    """Return the overview of a day in a fixed number of queries, for somebody with these roles."""
    zone = kitchen_zone()
    today = local_day(at, zone)
    orders = list(_ahead(at, today + timedelta(LOOK_AHEAD)))
    days = [today + timedelta(days=ahead) for ahead in range(LOOK_AHEAD)]
    on_day: dict[date, list[Order]] = {day: [] for day in days}
    for order in orders:
        on_day.get(local_day(order.window_start, zone), []).append(order)
    rows = [row for row in _leaving(orders, at) if _in_hand(row, days[-1] + timedelta(days=1), zone)] if makes else []
    late = [row for row in rows if local_day(row.order.window_start, zone) < today]
    coming = [row for row in rows if row not in late and row.order.status in ORDERS_AHEAD]
    return Day(
        today=today,
        week=list(on_day.items()),
        coming=sorted(coming, key=lambda row: (row.next_at, row.order.pk)),
        late=late,
        owed=_owed(today) if owner or money else None,
        **(_owners(at) | {"untold": _untold(orders), "unsafe": _unsafe(coming, late)} if owner else {}),
    )


def _in_hand(row: Leaving, last: date, zone: ZoneInfo) -> bool:
    """Return whether an order is listed: up to a day; later where it is in production, or its cooling is open."""
    order = row.order
    if local_day(order.window_start, zone) <= last or order.status == OrderStatus.IN_PRODUCTION:
        return True
    return bool(row.steps) or any(not mark.settled for mark in row.cooling)


def _untold(listed: list[Order]) -> list[Order]:
    """Return the orders to come that the page does not name already and whose customers have to be informed."""
    later = Order.objects.filter(status__in=ORDERS_AHEAD).exclude(pk__in=[order.pk for order in listed])
    keys = list(later.order_by("window_start", "pk").values_list("pk", flat=True)[:MOST_LATER])
    found = orders_untold(keys)
    return list(later.filter(pk__in=found).select_related("customer").order_by("window_start", "pk"))


def _unsafe(*listed: list[Leaving]) -> list[Order]:
    """Return the orders to come that the page does not mark already, and whose cooling has to be settled."""
    return orders_unsafe(row.order.pk for rows in listed for row in rows)


def _leaving(orders: list[Order], at: datetime) -> list[Leaving]:
    starts = latest_starts([order for order in orders if order.status == OrderStatus.CONFIRMED], at=at)
    marks = cooling_marks(orders)
    contents = [content_agreed(order.quote) for order in orders]
    since = since_now([(content, order.quote.inquiry) for content, order in zip(contents, orders, strict=True)])
    known = informing({order.pk: changed for order, changed in zip(orders, since, strict=True)})
    limits = late_limits(orders, kitchen(), contents)
    likely = likely_of_orders(orders, marks, book_now())
    steps = open_steps(orders)
    return [
        Leaving(
            order,
            content,
            begins=starts.get(order.pk),
            cooling=tuple(marks.get(order.pk, {}).values()),
            likely=all_minded(likely.get(order.pk, {})),
            since=changed,
            informing=known[order.pk],
            limit=limits.get(order.pk),
            steps=step_marks([order], steps),
        )
        for order, content, changed in zip(orders, contents, since, strict=True)
    ]


def _ahead(at: datetime, last: date) -> QuerySet[Order]:
    """Return the orders up to a day that are not handed over, and those handed over today.

    And later ones that are in production, or of which something was measured already: `_in_hand` leaves out of these
    what is settled.
    """
    start = datetime.combine(local_day(at), datetime.min.time(), kitchen_zone())
    end = datetime.combine(last + timedelta(days=1), datetime.min.time(), kitchen_zone())
    delivered = Q(status=OrderStatus.DELIVERED, window_start__gte=start)
    measured = Exists(CoolingRecord.objects.filter(order=OuterRef("pk")))
    begun = Q(status=OrderStatus.IN_PRODUCTION) | Q(measured, status__in=ORDERS_AHEAD)
    orders = Order.objects.filter((Q(status__in=ORDERS_AHEAD) | delivered) & Q(window_start__lt=end) | begun)
    orders = orders.select_related("customer", "quote__inquiry").defer("quote__brief", "quote__estimate")
    return orders.prefetch_related("lines__product").order_by("window_start", "pk")


def _owners(at: datetime) -> dict[str, Any]:
    waiting = Quote.objects.filter(status=QuoteStatus.SENT).select_related("inquiry__customer")
    waiting = waiting.defer("brief", "estimate").order_by("valid_until")
    shown, wrote = list(waiting.prefetch_related("lines__product")[:SHOWN]), messages_unseen(at)
    return {
        "waiting": shown,
        "held_up": cannot_be_approved(shown),
        "labels_changed": labels_changed(shown),
        "waiting_count": waiting.count(),
        "messages": wrote[:SHOWN],
        "messages_count": len(wrote),
        "approved": list(_approved(at)),
        "amended": list(_amended(at)),
        "inquiries": list(_unanswered(at)),
        "failed": list(Outbox.objects.filter(status=Outbox.Status.FAILED).order_by("-pk")[:SHOWN]),
    }


def messages_unseen(at: datetime) -> list[Message]:
    """Return what customers wrote or did that nobody has read; what may name a need first, then what is being made.

    After that what asks for an answer, and the nearest events; one query.
    """
    making = Order.objects.filter(quote__inquiry=OuterRef("quote__inquiry"), status=OrderStatus.IN_PRODUCTION)
    rows = Message.objects.filter(seen_at__isnull=True).exclude(kind=Message.Kind.REPLY)
    rows = rows.annotate(making=Exists(making)).select_related("quote__inquiry__customer")

    def rank(one: Any) -> tuple[bool, bool, bool, bool, datetime, int]:
        start = one.quote.inquiry.window_start
        plain = not is_urgent(one.text, one.quote.inquiry)
        return plain, not one.making, one.kind != Message.Kind.CHANGE, start < at, start, one.pk

    return sorted(rows.defer("quote__brief", "quote__content", "quote__estimate"), key=rank)


def _approved(at: datetime) -> QuerySet[Order]:
    """Return the orders that customers have lately approved, the latest first."""
    orders = Order.objects.filter(confirmed_at__gte=at - NEWS, status__in=ORDERS_AHEAD)
    orders = orders.select_related("customer", "quote").defer("quote__brief", "quote__content", "quote__estimate")
    return orders.order_by("-confirmed_at", "-pk")[:SHOWN]


def _amended(at: datetime) -> QuerySet[Order]:
    """Return the orders that were lately changed, as customers approved it, the latest first; ``quote`` says when."""
    orders = Order.objects.filter(quote__amends__isnull=False, quote__answered_at__gte=at - NEWS)
    orders = orders.filter(status__in=ORDERS_AHEAD).select_related("customer", "quote")
    columns = "quote__brief", "quote__content", "quote__estimate"
    return orders.defer(*columns).order_by("-quote__answered_at", "-pk")[:SHOWN]


def _unanswered(at: datetime) -> QuerySet[Inquiry]:
    """Return open inquiries without a sent quote."""
    sent = Quote.objects.filter(inquiry=OuterRef("pk")).exclude(status=QuoteStatus.DRAFT)
    open_ones = Inquiry.objects.filter(~Exists(sent), closed_at__isnull=True, window_start__gte=at)
    return open_ones.select_related("customer").order_by("received_at")[:SHOWN]


def _owed(today: date) -> Owed:
    currency = kitchen().currency
    in_parts = list(with_parts(open_invoices().filter(next_on__isnull=False)))
    whole, soon = open_invoices().filter(next_on=None), today + timedelta(days=LOOK_AHEAD)
    overdue = whole.filter(due_on__lt=today)
    late = open_by(in_parts, today - timedelta(days=1))
    ours = overdue.filter(currency=currency).order_by().aggregate(all=Sum("open", default=0))["all"]
    ours += sum(one.open for one in late if one.invoice.currency == currency)
    due = open_by([*whole.filter(due_on__gte=today, due_on__lte=soon)[:SHOWN], *in_parts], soon)
    return Owed(
        due=[one for one in due if one.due_on >= today][:SHOWN],
        scheduled_due=list(scheduled_waiting(today=today).filter(due_on__lte=soon)[:SHOWN]),
        overdue=open_by([*overdue[:SHOWN], *in_parts], today - timedelta(days=1))[:SHOWN],
        overdue_count=overdue.count() + len(late),
        overdue_sum=from_minor(ours, currency),
        scheduled_late=list(scheduled_late(today=today)[:SHOWN]),
        not_invoiced=[*not_invoiced()[:SHOWN], *charges_waiting()[:SHOWN]][:SHOWN],
        refunds=refunds_due()[:SHOWN],
    )
