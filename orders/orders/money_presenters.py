"""An order's money in words: what was agreed, paid and is left, and each payment of its schedule."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.web import display
from orders.invoices.models import Invoice, ScheduledPayment
from orders.invoices.order_money import OrderMoney
from orders.invoices.parts import DuePart, all_parts
from orders.invoices.presenters import late_words
from orders.invoices.schedule import Scheduled
from orders.orders.models import Order
from orders.orders.next_step import Do, NextStep
from orders.records.states import OrderStatus


@dataclass(frozen=True, slots=True)
class ScheduledShown:
    """A sentence about a payment of the schedule; ``open`` while something of it is asked for."""

    words: str
    open: bool


@dataclass(frozen=True, slots=True)
class MoneyShown:
    """An order's money: total, credited, paid and what is left, in minor units.

    ``scheduled`` says how each payment of its schedule and of its invoices in several stands, ``over`` that more was
    paid than the total. ``charge`` is the cancellation charge of an order that was canceled by its terms.
    """

    total: int
    less_credited: int
    paid: int
    left: int
    left_label: str
    left_note: str
    charge: int | None
    late: bool
    scheduled: tuple[ScheduledShown, ...]
    over: str


def money_shown(
    money: OrderMoney,
    step: NextStep,
    order: Order,
    scheduled: Sequence[Scheduled],
    documents: Sequence[Invoice] | None = None,
) -> MoneyShown:
    """Write what was agreed, paid and is left."""
    canceled = order.status == OrderStatus.CANCELED
    left = money.balance if money.invoiced or canceled else money.agreed_open
    credit = money.credit if money.invoiced or canceled else 0
    return MoneyShown(
        total=money.total,
        less_credited=-money.given_back,
        paid=money.received,
        left=credit or max(left, 0),
        left_label=_credit_label(order) if credit else gettext("Balance due"),
        left_note=_left_note(money, step, order.currency, canceled=canceled, left=left),
        charge=order.retained_minor,
        late=step.do == Do.PAYMENT and step.late and bool(money.invoiced or canceled),
        scheduled=(
            *(() if canceled else (_scheduled(one, money, order.currency) for one in scheduled)),
            *(_part(part, order.currency) for one in documents or () for part in all_parts(one)),
        ),
        over="" if money.invoiced or canceled else _over(money, order.currency),
    )


def _credit_label(order: Order) -> str:
    if order.canceled_money == Order.CanceledMoney.KEEP:
        return gettext("Kept by the kitchen")
    return gettext("To refund") if order.canceled_money == Order.CanceledMoney.REFUND else gettext("Customer credit")


def _left_note(money: OrderMoney, step: NextStep, currency: str, *, canceled: bool, left: int) -> str:
    if left <= 0 or canceled:
        return ""
    if not money.invoiced:
        return gettext("not invoiced yet")
    if step.due_on is None or step.do != Do.PAYMENT:
        return ""
    facts = {"day": display.short_day(step.due_on), "amount": display.minor(step.amount, currency)}
    if step.amount < left:
        part = gettext("%(amount)s overdue since %(day)s") if step.late else gettext("%(amount)s due %(day)s")
        return part % facts
    return (gettext("overdue since %(day)s") if step.late else gettext("due %(day)s")) % facts


def _over(money: OrderMoney, currency: str) -> str:
    """Say that more than the total was paid before an invoice; empty where it was not."""
    more = money.received - (money.total - money.given_back)
    if more <= 0:
        return ""
    words = gettext("%(more)s more than the total was paid. Refund it, or use it for another order.")
    return words % {"more": display.minor(more, currency)}


def _part(one: DuePart, currency: str) -> ScheduledShown:
    """Write how a payment of an invoice in several stands."""
    late = (timezone.localdate() - one.due_on).days
    words = gettext("Invoice %(number)s: %(open)s due %(day)s.")
    if not one.open:
        words = gettext("Invoice %(number)s: %(amount)s paid.")
    elif late > 0:
        words = gettext("Invoice %(number)s: %(open)s overdue since %(day)s, %(late)s.")
    facts = {
        "number": one.invoice.number,
        "open": display.minor(one.open, currency),
        "amount": display.minor(one.amount, currency),
        "day": display.day(one.due_on),
        "late": late_words(late),
    }
    return ScheduledShown(words % facts, bool(one.open))


#: How a payment stands -> its sentence for a deposit, and for any other.
_WORDS: Final[Mapping[str, tuple[str, str]]] = {
    "paid": (marked("Deposit of %(amount)s: paid."), marked("Payment of %(amount)s: paid.")),
    "unpaid": (marked("Deposit of %(amount)s not paid."), marked("Payment of %(amount)s not paid.")),
    "part_unpaid": (
        marked("Deposit of %(amount)s: %(open)s not paid."),
        marked("Payment of %(amount)s: %(open)s not paid."),
    ),
    "late": (
        marked("Deposit of %(amount)s overdue since %(day)s, %(late)s."),
        marked("Payment of %(amount)s overdue since %(day)s, %(late)s."),
    ),
    "part_late": (
        marked("Deposit of %(amount)s: %(open)s overdue since %(day)s, %(late)s."),
        marked("Payment of %(amount)s: %(open)s overdue since %(day)s, %(late)s."),
    ),
    "due": (marked("Deposit of %(amount)s due %(day)s."), marked("Payment of %(amount)s due %(day)s.")),
    "part_due": (
        marked("Deposit of %(amount)s: %(open)s due %(day)s."),
        marked("Payment of %(amount)s: %(open)s due %(day)s."),
    ),
}


def _scheduled(one: Scheduled, money: OrderMoney, currency: str) -> ScheduledShown:
    """Write how a payment stands; the amount of one of which nothing is paid is named once."""
    code = "unpaid" if money.invoiced else "late" if one.late_days else "due"
    if not one.open:
        code = "paid"
    elif one.open < one.amount:
        code = f"part_{code}"
    deposit, other = _WORDS[code]
    facts = {
        "amount": display.minor(one.amount, currency),
        "open": display.minor(one.open, currency),
        "day": display.day(one.due_on),
        "late": late_words(one.late_days),
    }
    words = gettext(deposit if one.kind == ScheduledPayment.Kind.DEPOSIT else other) % facts
    return ScheduledShown(words, bool(one.open) and not money.invoiced)
