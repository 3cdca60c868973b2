"""The one next thing to do about an order, from facts: what is open with the customer, the work, then the money."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum, auto
from typing import TYPE_CHECKING, Final

from catalog.kitchen.selectors import local_day
from orders.cooling_log.plans import leaves_at
from orders.invoices.changes import ChangeToBill
from orders.invoices.models import Invoice, ScheduledPayment
from orders.invoices.order_money import OrderMoney
from orders.invoices.parts import open_parts
from orders.invoices.schedule import Scheduled
from orders.orders.latest_starts import Start
from orders.orders.models import Order
from orders.records.states import ORDERS_AHEAD, InvoiceStatus, OrderStatus

if TYPE_CHECKING:
    from orders.cooling_log.selectors import CoolingMark

#: So long before its day a payment of the schedule is the next thing about an order; our own choice.
ASKED_AHEAD: Final = timedelta(days=7)


class Do(StrEnum):
    """What can be the next thing to do."""

    INFORM = auto()
    #: What was made was thrown away: it is made anew.
    REMAKE = auto()
    MEASURE = auto()
    START = auto()
    HAND_OVER = auto()
    DEPOSIT = auto()
    INVOICE = auto()
    ISSUE = auto()
    PAYMENT = auto()
    #: A change that was approved after the invoice is invoiced or credited.
    SETTLE = auto()
    REFUND = auto()
    #: The invoice of what a canceled order would have been: it is credited before what is retained is charged.
    CREDIT = auto()
    #: The invoice is credited in full while the order stands: pay back, invoice again, or cancel.
    CREDITED = auto()
    CLOSE = auto()
    #: Somebody else's turn, or nothing is left.
    WAIT = auto()
    NOTHING = auto()


@dataclass(frozen=True, slots=True)
class Roles:
    """What somebody may do: make and hand over, see and record money, decide about documents and the order."""

    makes: bool = False
    money: bool = False
    owner: bool = False


@dataclass(frozen=True, slots=True)
class Situation:
    """What the next step follows from. ``begins`` is when work begins, where it is known."""

    order: Order
    at: datetime
    today: date
    untold: bool = False
    begins: Start | None = None
    marks: tuple[CoolingMark, ...] = ()
    money: OrderMoney | None = None
    documents: tuple[Invoice, ...] = ()
    change: ChangeToBill | None = None
    to_credit: Invoice | None = None
    can_be_invoiced: bool = False
    scheduled: tuple[Scheduled, ...] = ()

    @property
    def begin_by(self) -> datetime | None:
        """When work begins, where it is known."""
        return None if self.begins is None else self.begins.moment

    def start(self) -> NextStep:
        """Return that production is started next."""
        late = self.begin_by is not None and self.begin_by < self.at
        return NextStep(Do.START, by=self.begin_by, late=late, begins=self.begins)


@dataclass(frozen=True, slots=True)
class NextStep:
    """The next thing to do, with the moment, amount, last day, document or item that it is about.

    ``begins`` says of the start of work where its moment is from.
    """

    do: Do
    by: datetime | None = None
    amount: int = 0
    due_on: date | None = None
    late: bool = False
    document: Invoice | None = None
    mark: CoolingMark | None = None
    begins: Start | None = None


def next_step(facts: Situation, roles: Roles) -> NextStep:
    """Return the next thing that somebody with these roles has to do about an order."""
    if facts.untold and roles.makes:
        return NextStep(Do.INFORM)
    if facts.order.status in ORDERS_AHEAD:
        return _ahead(facts, roles)
    if not roles.money or facts.money is None:
        return NextStep(Do.NOTHING)
    if facts.order.status == OrderStatus.CLOSED:
        # What was credited after it was closed goes back to the customer all the same.
        return _refund(facts.money) or NextStep(Do.NOTHING)
    return _settling(facts, facts.money, roles)


def _ahead(facts: Situation, roles: Roles) -> NextStep:
    if roles.makes and (work := _work_now(facts)):
        return work
    if roles.money and (asked := _money_ahead(facts, roles)):
        return asked
    if facts.order.status == OrderStatus.IN_PRODUCTION:
        return _hand_over(facts) if roles.makes else NextStep(Do.WAIT)
    if not roles.makes:
        return NextStep(Do.WAIT, by=facts.begin_by)
    return facts.start()


def _work_now(facts: Situation) -> NextStep | None:
    """Return the work whose time has come: what is made is measured and leaves today, or an order begins today."""
    order, leaves = facts.order, leaves_at(facts.order)
    begun, gone = order.status == OrderStatus.IN_PRODUCTION, facts.at >= leaves
    if thrown := next((mark for mark in facts.marks if mark.to_remake), None):
        return NextStep(Do.REMAKE, mark=thrown)
    if (begun or gone) and (mark := _to_measure(facts.marks)):
        return NextStep(Do.MEASURE, mark=mark)
    if gone or (begun and local_day(leaves) <= facts.today):
        return _hand_over(facts)
    if not begun and facts.begin_by is not None and facts.begin_by < facts.at + timedelta(days=1):
        return facts.start()
    return None


def _hand_over(facts: Situation) -> NextStep:
    return NextStep(Do.HAND_OVER, by=facts.order.window_start, late=facts.at > facts.order.window_end)


def _to_measure(marks: Iterable[CoolingMark]) -> CoolingMark | None:
    """Return what is to be measured, first what missed a limit already, last what is too old."""
    left = (mark for mark in marks if mark.to_measure)
    return min(left, key=lambda mark: (mark.state != "missed", mark.too_old), default=None)


def _money_ahead(facts: Situation, roles: Roles) -> NextStep | None:
    """Return what is asked for before the hand-over: a deposit, or what an invoice issued early leaves open."""
    money = facts.money
    if money is None:
        return None
    if facts.change is not None and roles.owner:
        return _change(facts)
    if money.invoiced:
        drafted = any(one.status == InvoiceStatus.DRAFT for one in facts.documents)
        return (None if drafted else _credited(money, roles)) or _payment(facts, money) or _refund(money)
    asked = next((one for one in facts.scheduled if one.open), None)
    return None if asked is None else _scheduled(asked, facts.today)


def _scheduled(asked: Scheduled, today: date) -> NextStep | None:
    """Return that a payment of the schedule is asked for: a deposit from the approval on, any other shortly before."""
    deposit = asked.kind == ScheduledPayment.Kind.DEPOSIT
    if not deposit and asked.due_on - today > ASKED_AHEAD:
        return None
    do = Do.DEPOSIT if deposit else Do.PAYMENT
    return NextStep(do, amount=asked.open, due_on=asked.due_on, late=bool(asked.late_days))


def _change(facts: Situation) -> NextStep:
    """Return what a change leaves to do; the further invoice that is drafted already is issued."""
    draft = next((one for one in facts.documents if one.status == InvoiceStatus.DRAFT), None)
    return NextStep(Do.SETTLE) if draft is None else NextStep(Do.ISSUE, document=draft)


def _credited(money: OrderMoney, roles: Roles) -> NextStep | None:
    """Return what follows once all that was invoiced is credited; without money to pay back only the owner decides."""
    if not money.invoiced or money.credited < money.invoiced or not (money.credit or roles.owner):
        return None
    return NextStep(Do.CREDITED, amount=money.credit)


def _refund(money: OrderMoney) -> NextStep | None:
    return NextStep(Do.REFUND, amount=money.credit) if money.credit else None


def _payment(facts: Situation, money: OrderMoney) -> NextStep | None:
    if money.balance <= 0:
        return None
    asking = [part for one in facts.documents if not one.is_credit_note for part in open_parts(one)]
    due = min((part.due_on for part in asking), default=None)
    later = sum(part.open for part in asking if due is not None and part.due_on > max(due, facts.today))
    return NextStep(
        Do.PAYMENT, amount=max(0, money.balance - later), due_on=due, late=due is not None and due < facts.today
    )


def _settling(facts: Situation, money: OrderMoney, roles: Roles) -> NextStep:
    """Return what is left of an order that was handed over or canceled."""
    canceled = facts.order.status == OrderStatus.CANCELED
    draft = next((one for one in facts.documents if one.status == InvoiceStatus.DRAFT), None)
    if draft is None and not canceled and (asked := _credited(money, roles)):
        return asked
    if facts.change is not None and roles.owner:
        return _change(facts)
    if facts.to_credit is not None:
        return NextStep(Do.CREDIT, document=facts.to_credit) if roles.owner else NextStep(Do.WAIT)
    if draft is not None or (facts.can_be_invoiced and facts.order.total_minor):
        if not roles.owner:
            return NextStep(Do.WAIT)
        return NextStep(Do.ISSUE, document=draft) if draft is not None else NextStep(Do.INVOICE)
    if asked := _payment(facts, money):
        return asked
    if facts.order.canceled_money not in _STAYS and (back := _refund(money)):
        return back
    return NextStep(Do.CLOSE if roles.owner and not canceled else Do.NOTHING)


#: Money of a canceled order that is not paid back.
_STAYS = (Order.CanceledMoney.KEEP, Order.CanceledMoney.CREDIT)
