"""The quote page for the customer."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from catalog.kitchen.selectors import local_day
from catalog.records.reasons import Reason
from orders.approvals.errors import KitchenMustAnswer
from orders.approvals.models import Approval, Link, Message
from orders.approvals.selectors import (
    NotAnswered,
    not_answered,
    open_links,
    slot_checked,
    waits_for_reply,
    was_released,
    why_closed,
)
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.invoices.order_money import OrderMoney, order_money
from orders.invoices.schedule import Scheduled, schedule_of
from orders.invoices.selectors import Billed, billed
from orders.orders.models import Order
from orders.planning.models import WindowCheck
from orders.planning.offered import windows_state
from orders.planning.reserved import day_is_reserved
from orders.quotes.changes import changes_between
from orders.quotes.cooling.services import check_approval
from orders.quotes.draft.allergens import NOTHING_CHANGED, LabelChange, SinceQuote, since_now
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_before
from orders.quotes.send.changed_prices import given_prices
from orders.records.errors import KitchenMustCheck, KitchenMustLook, KitchenMustTell, OrderError
from orders.records.states import ORDERS_AHEAD, OrderStatus, QuoteStatus


@dataclass(frozen=True, slots=True)
class QuotePage:
    """One revision as shown to the holder of a private link.

    ``since`` is what its desserts declare by now and its content does not; the content itself stays as it was sent.
    ``stopped`` is why nobody can approve it as it is, though it is open; ``wrote`` is the customer's last message
    while nobody has replied to it. ``money`` and ``invoice`` are of its order, the invoice also where it is credited in
    full (:func:`billed`); ``scheduled`` are its payments before that. ``not_answered`` says whether anything of theirs
    is not read, or that message has no answer of any kind. ``time_checked`` is the check of its time, once somebody
    wanted to approve it; ``amends`` is the order that it changes, or changed; ``day_reserved`` and ``day_released``
    say that its day is kept, or was and is not any more. ``windows`` are the states of its windows by their number,
    while it can be answered.
    """

    quote: Quote
    content: QuoteContent
    link: Link
    closed: OrderError | None
    newer: Quote | None
    older: Quote | None
    approval: Approval | None
    order: Order | None
    amends: Order | None = None
    money: OrderMoney | None = None
    invoice: Billed | None = None
    scheduled: tuple[Scheduled, ...] = ()
    since: SinceQuote = NOTHING_CHANGED
    stopped: OrderError | None = None
    wrote: Message | None = None
    not_answered: NotAnswered = NotAnswered.NOT
    time_checked: WindowCheck | None = None
    day_reserved: bool = False
    day_released: bool = False
    windows: tuple[str, ...] = ()

    @property
    def asked(self) -> Scheduled | None:
        """The next payment of the schedule; None where nothing of it is open."""
        return next((one for one in self.scheduled if one.open), None)

    @property
    def order_open(self) -> bool:
        """Whether this is what is in force of an order that can still be changed."""
        in_force = self.quote.status == QuoteStatus.APPROVED
        return in_force and self.order is not None and self.order.status in ORDERS_AHEAD

    @property
    def made(self) -> bool:
        """Whether nothing of it is made any more: it is delivered, closed or canceled, so that nothing is asked."""
        order = self.order
        return order is not None and (order.delivered_at is not None or order.status == OrderStatus.CANCELED)

    @property
    def event(self) -> Inquiry:
        """The event as this says it: of an order as it is in force."""
        return self.quote.inquiry if self.order is None or not self.approved else self.order.event

    @property
    def since_shown(self) -> SinceQuote:
        """What changed since it was sent; of a quote that is over only its lists say that."""
        return self.since if self.closed is None or self.approved else NOTHING_CHANGED

    @property
    def changed(self) -> tuple[LabelChange, ...]:
        """What changed about the allergens of desserts."""
        return self.since_shown.changes

    @property
    def note_was_before(self) -> bool:
        """Whether the kitchen's note was read for other allergens, or another list of needs, than there are by now."""
        event, since = self.content.event, self.since
        of_needs = event.allergies or event.allergy_note.strip() or since.asked
        return bool(of_needs) and bool(since.changes or since.needs or since.note or since.unanswered or since.traces)

    @property
    def labels_stop(self) -> bool:
        """Whether it cannot be approved as it is, because a dessert holds, or may hold, more than its content says."""
        return self.since_shown.traces_stop or any(change.stops for change in self.changed)

    @property
    def approved(self) -> bool:
        """Whether the customer approved this revision."""
        return self.approval is not None

    @property
    def can_answer(self) -> bool:
        """Whether the customer can still approve or decline."""
        return self.closed is None and self.approval is None

    @property
    def waits(self) -> bool:
        """Whether their message is all that keeps it from being approved: the kitchen answers it first."""
        return isinstance(self.stopped, KitchenMustAnswer) and not self.since.unanswered and self.wrote is not None

    @property
    def can_approve(self) -> bool:
        """Whether the customer can approve it as it is."""
        return self.can_answer and self.stopped is None


def quote_page(*, quote_id: int, link_ids: Iterable[int], at: datetime) -> QuotePage | None:
    """Return the page of a quote if one of the links opens it, else None; a fixed number of queries.

    A link opens every revision of its number that was sent, because a newer revision replaces the old one.
    """
    quote = (
        Quote.objects.select_related("inquiry__customer", "replaces", "amends")
        .exclude(sent_at=None)
        .defer("brief", "estimate", "replaces__brief", "replaces__estimate", "replaces__content")
        .filter(pk=quote_id)
        .first()
    )
    if quote is None:
        return None
    links = open_links(link_ids, number=quote.number, at=at)
    if not links:
        return None
    approval = Approval.objects.filter(quote=quote).first()
    content, closed = content_agreed(quote), why_closed(quote, at)
    order = _order(quote) if approval else None
    waits = closed is None and approval is None
    since, wrote = since_now([(content, quote.inquiry)])[0], waits_for_reply(quote)
    money = order_money(order) if order else None
    return QuotePage(
        quote=quote,
        content=content,
        link=links[-1],
        closed=closed,
        newer=_newest(quote),
        older=quote_before(quote),
        amends=quote.amends,
        approval=approval,
        order=order,
        money=money,
        scheduled=schedule_of(order, received=money.received, today=local_day(at)) if order and money else (),
        invoice=billed(order) if order else None,
        since=since,
        stopped=_stopped(quote, since) if waits else None,
        wrote=wrote,
        not_answered=not_answered(quote, wrote),
        time_checked=slot_checked(quote) if waits else None,
        day_reserved=waits and day_is_reserved(quote, at),
        day_released=waits and was_released(quote),
        windows=windows_state(quote, content, at) if waits else (),
    )


def _order(quote: Quote) -> Order | None:
    """Return the order of a quote's number, whichever revision is in force."""
    orders = Order.objects.filter(quote__number=quote.number).select_related("quote__inquiry")
    return orders.defer("quote__content", "quote__brief", "quote__estimate").first()


def changes_before(page: QuotePage) -> list[Reason]:
    """Return the differences from the revision that this one replaced, while it can be answered; two queries."""
    older = page.older
    if not page.can_answer or older is None or older.sent_at is None or not older.content:
        return []
    return changes_between(content_read(older.content), page.content, given=given_prices(page.quote))


def before_amended(page: QuotePage) -> QuoteContent | None:
    """Return the content that an amendment changes; None of any other quote, and where it was erased; one query."""
    older = page.older if page.content.amends is not None else None
    return content_agreed(older) if older is not None and older.content else None


def _stopped(quote: Quote, since: SinceQuote) -> OrderError | None:
    """Return what an approval would be refused with by today's catalog; None where it can be given."""
    if any(change.stops for change in since.changes):
        return KitchenMustTell()
    if since.unanswered or since.messages:
        return KitchenMustAnswer()
    if since.traces_stop:
        return KitchenMustTell()
    try:
        check_approval(quote, by_customer=True)
    except KitchenMustCheck as refusal:
        return refusal
    except KitchenMustLook:
        # Nobody can judge it: they may say yes, and the kitchen reads that they wanted to.
        return None
    return None


def _newest(quote: Quote) -> Quote | None:
    """Return the revision that replaced this one, if one was sent; of an order what waits, or what is in force."""
    sent = Quote.objects.filter(number=quote.number).exclude(sent_at=None).exclude(status=QuoteStatus.WITHDRAWN)
    others = list(sent.exclude(pk=quote.pk).only("number", "revision", "status", "sent_at").order_by("-revision"))
    alive = {one.status: one for one in others}
    if quote.status == QuoteStatus.APPROVED or QuoteStatus.APPROVED in alive:
        return alive.get(QuoteStatus.SENT) or alive.get(QuoteStatus.APPROVED)
    return next((one for one in others if one.revision > quote.revision), None)
