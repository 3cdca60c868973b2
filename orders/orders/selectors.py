"""Lists of orders, and the data of an order's page."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final

from django.db.models import Case, Exists, OuterRef, Q, QuerySet, Value, When

from catalog.kitchen.selectors import kitchen_zone, local_day
from catalog.records.versions import version_mark
from orders.approvals.models import Message
from orders.cooling_log.selectors import CoolingMark
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent, content_read
from orders.invoices.carried_credit import spare_of
from orders.invoices.changes import ChangeToBill, change_to_bill
from orders.invoices.charge_content import charge_waits
from orders.invoices.models import Invoice, Payment, PaymentPaper
from orders.invoices.order_money import OrderMoney, Received, order_money, with_received
from orders.invoices.schedule import Scheduled, schedule_of
from orders.invoices.selectors import standing_invoice, with_open
from orders.orders.informing import NOBODY_TO_INFORM, Informing, informing
from orders.orders.latest_starts import latest_starts
from orders.orders.models import Order
from orders.orders.next_step import NextStep, Roles, Situation, next_step
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, since_now
from orders.quotes.draft.message_needs import MessageOpen, messages_elsewhere, messages_unread_of
from orders.records.models import AuditEntry
from orders.records.states import ORDERS_AHEAD, OrderStatus
from orders.records.transitions import allowed_events

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


#: What the list of orders can show -> the statuses in it. Closed and canceled orders are the archive.
SHOWS: Final[Mapping[str, tuple[OrderStatus, ...]]] = {
    "open": (*ORDERS_AHEAD, OrderStatus.DELIVERED),
    "confirmed": (OrderStatus.CONFIRMED,),
    "in_production": (OrderStatus.IN_PRODUCTION,),
    "delivered": (OrderStatus.DELIVERED,),
    "closed": (OrderStatus.CLOSED, OrderStatus.CANCELED),
    "all": (),
}
#: In what order the list can be -> the columns.
SORTS: Final[Mapping[str, tuple[str, ...]]] = {
    "next": ("made", "window_start", "pk"),
    "latest": ("-window_start", "-pk"),
    "number": ("-pk",),
    "customer": ("customer__name", "window_start", "pk"),
    "event": ("title", "window_start", "pk"),
    "total": ("-total_minor", "pk"),
}


def usual_sort(which: str) -> str:
    """Return in what order a list is shown at first: what leaves next, or the latest of what is behind."""
    return "next" if which in ("open", "confirmed", "in_production") else "latest"


def orders_listed(
    *, which: str = "open", find: str = "", day: date | None = None, sort: str = ""
) -> QuerySet[WithAnnotations[Order, Received]]:
    """List orders with customer and what was paid.

    ``which`` is one of :data:`SHOWS`, ``find`` looks in number, event and customer, ``day`` is the day on which they
    leave, ``sort`` is one of :data:`SORTS`. What is not handed over comes before what is.
    """
    orders = with_received(Order.objects.select_related("customer"))
    which = which if which in SHOWS else "open"
    if statuses := SHOWS[which]:
        orders = orders.filter(status__in=statuses)
    if day is not None:
        start = datetime.combine(day, time.min, kitchen_zone())
        orders = orders.filter(
            window_start__gte=start,
            window_start__lt=datetime.combine(day + timedelta(days=1), time.min, kitchen_zone()),
        )
    if find:
        orders = orders.filter(Q(number__icontains=find) | Q(title__icontains=find) | Q(customer__name__icontains=find))
    made = Case(When(status__in=ORDERS_AHEAD, then=Value(0)), default=Value(1))
    columns = SORTS.get(sort, SORTS[usual_sort(which)])
    return (orders.alias(made=made) if "made" in columns else orders).order_by(*columns)


#: Statuses of orders of which somebody may still eat.
_EATEN_YET: Final = (*ORDERS_AHEAD, OrderStatus.DELIVERED)


@dataclass(frozen=True)
class OrderPage:
    """The order's content and the next thing to do; money, documents and history only for those who see money."""

    content: QuoteContent
    events: frozenset[str]
    next: NextStep
    since: SinceQuote = NOTHING_CHANGED
    informing: Informing = NOBODY_TO_INFORM
    money: OrderMoney | None = None
    documents: Sequence[Invoice] | None = None
    payments: QuerySet[Payment] | None = None
    history: QuerySet[AuditEntry] | None = None
    can_be_invoiced: bool = False
    change: ChangeToBill | None = None
    scheduled: tuple[Scheduled, ...] = ()
    requests: Sequence[PaymentPaper] = ()
    can_carry: bool = False

    @property
    def can_request(self) -> bool:
        """Whether a payment of the schedule can be requested: one is open, and no invoice asks for the whole."""
        open_ = any(one.open for one in self.scheduled) and self.money is not None and not self.money.invoiced
        return open_ and "deliver" in self.events

    @property
    def known(self) -> Known:
        """What changed, and whether the customer knows."""
        return Known(self.since, self.informing)


def order_page(order: Order, *, roles: Roles, marks: Iterable[CoolingMark], at: datetime) -> OrderPage:
    """Return the data of an order's page in a fixed number of queries."""
    content, known = content_agreed(order.quote), order_informing(order)
    facts = Situation(
        order=order,
        at=at,
        today=local_day(at),
        untold=known.informing.waits,
        begins=latest_starts([order], at=at).get(order.pk) if order.status == OrderStatus.CONFIRMED else None,
        marks=tuple(marks),
    )
    if roles.money:
        facts = _with_money(facts)
    page = OrderPage(content, allowed_events(order), next_step(facts, roles), known.since, known.informing)
    if not roles.money:
        return page
    return replace(
        page,
        money=facts.money,
        documents=facts.documents,
        payments=order.payments.select_related("invoice", "reverses", "reversed_by", "receipt"),
        requests=list(order.papers.filter(kind=PaymentPaper.Kind.REQUEST)),
        history=order_history(order),
        can_be_invoiced=facts.can_be_invoiced,
        change=facts.change,
        scheduled=facts.scheduled,
        can_carry=facts.money is not None and spare_of(order, facts.money) > 0,
    )


def _with_money(facts: Situation) -> Situation:
    order, standing = facts.order, standing_invoice(facts.order)
    retained = order.canceled_money == Order.CanceledMoney.KEEP or charge_waits(order)
    # By its terms only what is retained is charged: what an invoice asked for before is credited.
    by_terms = order.retained_minor is not None and standing is not None and not standing.charges_cancellation
    money = order_money(order)
    return replace(
        facts,
        money=money,
        scheduled=schedule_of(order, received=money.received, today=facts.today),
        change=change_to_bill(order),
        documents=tuple(with_open(order.invoices.select_related("credits")).order_by("pk")),
        to_credit=standing if by_terms else None,
        can_be_invoiced=(order.status != OrderStatus.CANCELED or retained) and standing is None,
    )


@dataclass(frozen=True)
class Known:
    """What changed about an order since it was approved, and whether its customer knows; what they wrote, unread.

    ``elsewhere`` is what they wrote about another quote of theirs.
    """

    since: SinceQuote
    informing: Informing
    unread: tuple[Message, ...] = ()
    elsewhere: tuple[MessageOpen, ...] = ()

    @property
    def unsettled(self) -> bool:
        """Whether the customer wrote what nobody has answered, or does not know of what changed."""
        return bool(self.since.messages) or self.informing.waits

    @property
    def mark(self) -> str:
        """A digest of what is not settled, so that nobody goes on in spite of what they did not read."""
        return version_mark([*(one.message for one in self.since.messages), self.informing.mark])


def orders_unsettled(orders: Sequence[Order]) -> list[tuple[Order, Known]]:
    """Return those of some orders with messages that nobody answered or read, or changes that they do not know."""
    since = since_now([(content_read(order.quote.content), order.quote.inquiry) for order in orders])
    found = informing({order.pk: one for order, one in zip(orders, since, strict=True)})
    inquiries = [order.quote.inquiry for order in orders]
    wrote, others = messages_unread_of(inquiries), messages_elsewhere(inquiries)
    known = [
        (
            order,
            Known(
                one,
                found[order.pk],
                _besides(wrote.get(order.quote.inquiry_id, ()), one),
                others.get(order.quote.inquiry_id, ()),
            ),
        )
        for order, one in zip(orders, since, strict=True)
    ]
    return [(order, one) for order, one in known if one.unsettled or one.unread or one.elsewhere]


def _besides(wrote: Sequence[Message], since: SinceQuote) -> tuple[Message, ...]:
    """Return the messages that nobody has read, without those that are shown as unanswered anyway."""
    open_ = {one.message for one in since.messages}
    return tuple(one for one in wrote if one.pk not in open_)


def order_informing(order: Order) -> Known:
    """Return what changed about an order since it was approved, while somebody may still eat of it."""
    if order.status not in _EATEN_YET:
        return Known(NOTHING_CHANGED, NOBODY_TO_INFORM)
    since = since_now([(content_read(order.quote.content), order.quote.inquiry)])[0]
    return Known(since, informing({order.pk: since})[order.pk])


def orders_untold(keys: Collection[int]) -> frozenset[int]:
    """Return those of some orders of which customers have to be informed, or wrote what may be a need; few queries.

    Only what somebody may still eat counts.
    """
    rows = Order.objects.filter(pk__in=keys, status__in=_EATEN_YET).select_related("quote__inquiry")
    orders = list(rows.defer("quote__brief", "quote__estimate"))
    since = since_now([(content_read(order.quote.content), order.quote.inquiry) for order in orders])
    known = informing({order.pk: one for order, one in zip(orders, since, strict=True)})
    return frozenset(
        order.pk for order, one in zip(orders, since, strict=True) if known[order.pk].waits or one.messages
    )


def orders_written(keys: Collection[int]) -> frozenset[int]:
    """Return those of some orders about which the customer wrote what nobody has read; one query."""
    wrote = Message.objects.filter(seen_at=None, quote__inquiry=OuterRef("quote__inquiry")).exclude(text="")
    rows = Order.objects.filter(Exists(wrote.exclude(kind=Message.Kind.REPLY)), pk__in=keys)
    return frozenset(rows.values_list("pk", flat=True))


def order_history(order: Order) -> QuerySet[AuditEntry]:
    """Return who did what to the order and its documents, the earliest first."""
    documents = list(order.invoices.values_list("pk", flat=True))
    return AuditEntry.objects.filter(
        Q(document="order", document_pk=order.pk) | Q(document="invoice", document_pk__in=documents)
    )
