"""An order that was canceled by the table of its terms, in words: for the owner, and for the customer."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext, ngettext

from catalog.web import display
from orders.invoices.order_money import OrderMoney
from orders.orders.canceling import Canceling
from orders.orders.models import Order
from orders.quotes.terms.cancellation_presenters import charge_words, span_words
from orders.quotes.terms.retained import RetainedSpan


@dataclass(frozen=True, slots=True)
class CancelingShown:
    """What canceling means today, in words: the row that applies, the whole table, and the sums before a decision."""

    applies: str
    table: list[str]
    most: str
    paid: str
    result: str


def canceling_shown(found: Canceling, order: Order) -> CancelingShown:
    """Write what the terms say today, and what follows if just that is retained."""
    spans, currency = found.spans, order.currency
    return CancelingShown(
        applies=_applies(found, spans[0], currency),
        table=[span_words(span, currency) for span in spans],
        most=display.minor(found.most_minor, currency),
        paid=display.minor(found.received_minor, currency),
        result=_result(found.back(found.most_minor), found.owed(found.most_minor), currency),
    )


def _applies(found: Canceling, span: RetainedSpan, currency: str) -> str:
    charge = charge_words(span.row, span.retained_minor, currency)
    if found.days_before < 0:
        return gettext("The event is over. By the terms: %(charge)s.") % {"charge": charge}
    if not found.days_before:
        return gettext("The event is today. By the terms: %(charge)s.") % {"charge": charge}
    words = ngettext(
        "It is %(days)s day before the event. By the terms: %(charge)s.",
        "It is %(days)s days before the event. By the terms: %(charge)s.",
        found.days_before,
    )
    return words % {"days": found.days_before, "charge": charge}


def _result(back: int, owed: int, currency: str) -> str:
    if back:
        return gettext("%(amount)s goes back to the customer.") % {"amount": display.minor(back, currency)}
    if owed:
        return gettext("%(amount)s is still to be paid.") % {"amount": display.minor(owed, currency)}
    return gettext("Nothing goes back, and nothing is left to pay.")


def canceled_sentences(order: Order, money: OrderMoney) -> list[str]:
    """Write to the customer what is charged of an order canceled by its terms, was paid, and goes back or is owed.

    Empty for an order that was canceled otherwise, or not at all.
    """
    if order.retained_minor is None:
        return []
    return [_charged(order), *_paid(order, money), _left(order, money)]


def _charged(order: Order) -> str:
    facts = _facts(order)
    if order.canceled_by == Order.CanceledBy.KITCHEN:
        return gettext("We canceled it, so nothing is charged.")
    if not order.retained_minor:
        return gettext("Nothing is charged.")
    if order.retained_minor < order.terms_applied["most_minor"]:
        return gettext("The cancellation charge is %(amount)s, less than the %(most)s of the terms.") % facts
    return gettext("By the terms you approved, the cancellation charge is %(share)s of the total: %(amount)s.") % facts


def _paid(order: Order, money: OrderMoney) -> list[str]:
    if money.received <= 0:
        return []
    return [gettext("You paid %(amount)s.") % {"amount": display.minor(money.received, order.currency)}]


def _left(order: Order, money: OrderMoney) -> str:
    if money.credit:
        amount = {"amount": display.minor(money.credit, order.currency)}
        return gettext("We pay %(amount)s back to you.") % amount
    if money.balance > 0:
        return gettext("Left to pay: %(amount)s.") % {"amount": display.minor(money.balance, order.currency)}
    return gettext("Nothing is left to pay.")


def _facts(order: Order) -> Mapping[str, Any]:
    terms = order.terms_applied
    return {
        "amount": display.minor(order.retained_minor or 0, order.currency),
        "most": display.minor(terms["most_minor"], order.currency),
        "share": display.rate(terms["share"]),
    }


def by_terms_words(order: Order) -> str:
    """Write for the kitchen who canceled an order by its terms, and what is retained; empty for any other order."""
    if order.retained_minor is None:
        return ""
    who = gettext("Canceled by the kitchen: everything paid goes back.")
    if order.canceled_by == Order.CanceledBy.CUSTOMER:
        who = gettext("Canceled by the customer: %(amount)s is charged, as the terms say.") % _facts(order)
        if order.retained_minor < order.terms_applied["most_minor"]:
            who = gettext("Canceled by the customer: %(amount)s is charged, %(most)s by the terms.") % _facts(order)
    less = gettext("Less because: “%(reason)s”") % {"reason": order.retained_reason} if order.retained_reason else ""
    return " ".join(filter(None, (who, less)))


def canceled_note(params: Mapping[str, Any]) -> str:
    """Write for the history what a cancellation by the terms retained."""
    if params["canceled_by"] == Order.CanceledBy.KITCHEN:
        return gettext("Canceled by the kitchen: everything paid goes back.")
    amount = {"amount": display.minor(params["retained_minor"], params["currency"])}
    return gettext("Canceled by the customer: %(amount)s is charged.") % amount
