"""The history of an order and its documents in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from catalog.web import display
from orders.cooling_log.breaches import BREACHED
from orders.cooling_log.presenters import outcome_words
from orders.invoices.models import Payment
from orders.orders.informing import INFORMED, Informed, Informing
from orders.orders.models import Order
from orders.records.models import AuditEntry
from orders.records.presenters import HistoryRow, Notes, history_rows

#: Event of the audit trail -> its words in the order's history.
_EVENTS: Final = {
    "confirm": "order confirmed",
    "start": "production begun",
    "deliver": "handed over",
    "close": "order closed",
    "cancel": "order cancelled",
    "note": "note for the kitchen changed",
    "measured": "cooling measured",
    "deposit": "deposit recorded",
    "payment": "payment recorded",
    "refund": "refund recorded",
    "draft": "invoice drafted",
    "discard": "draft dropped",
    "issue": "document issued",
    "pay_part": "invoice part paid",
    "pay_all": "invoice paid or credited in full",
    "unpay": "invoice open again",
    BREACHED: "cooling rule broken by an edit while it may be in the making",
    INFORMED: "customer informed of changed allergens",
    "mail_sent": "document mailed",
    "erase": "personal words erased",
}


def _payment_note(entry: AuditEntry) -> str:
    amount = display.minor(entry.params["amount_minor"], entry.params["currency"])
    return f"{amount} {Payment.Method(entry.params['method']).label}"


def _cancel_note(entry: AuditEntry) -> str:
    return f"“{entry.note}”. What came in: {Order.CanceledMoney(entry.params['money']).label}"


_NOTES: Final[Notes] = {
    "confirm": lambda entry: f"from quote {entry.params['quote']}",
    "cancel": _cancel_note,
    "deposit": _payment_note,
    "payment": _payment_note,
    "refund": _payment_note,
    INFORMED: lambda entry: f"by {entry.params['way']}{f': “{entry.note}”' if entry.note else ''}",
    BREACHED: lambda entry: ", ".join(item["name"] for item in entry.params["items"]),
    "measured": lambda entry: f"{entry.params['item']}: {outcome_words(entry.params['outcome'])}",
    "mail_sent": lambda entry: f"to {entry.params['to']}",
}


def order_history_rows(entries: Iterable[AuditEntry]) -> list[HistoryRow]:
    """Write who did what to the order and its documents."""
    return history_rows(entries, events=_EVENTS, notes=_NOTES)


@dataclass(frozen=True, slots=True)
class InformedShown:
    """A record that the customer knows of new allergens, up to whoever wrote it down."""

    words: str
    by: str
    note: str
    failed: bool


def informed_shown(found: Informing) -> list[InformedShown]:
    """Write who informed a customer, and when."""
    return [InformedShown(_informed_words(one), one.by, one.note, failed=not one.counts) for one in found.records]


def _informed_words(one: Informed) -> str:
    when = display.moment(one.at)
    if not one.counts:
        return f"The mail to the customer of {when} could not be sent: call them. It was asked for by"
    if one.on_its_way:
        return f"The mail to the customer is on its way, asked for {when} by"
    return f"The customer was told on {when} by {one.way}, by"


def informing_short(found: Informing) -> str:
    """Write in a few words whether a customer knows of what changed; empty where nothing did."""
    if found.open:
        return "Not told to the customer yet"
    if not found.records:
        return ""
    last = found.records[-1]
    return (
        "The mail to the customer is on its way"
        if last.on_its_way
        else f"Told on {display.moment(last.at)} by {last.way}"
    )
