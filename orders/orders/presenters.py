"""The history of an order and its documents in words."""

from collections.abc import Iterable
from typing import Final

from catalog.web import display
from orders.cooling_log.presenters import outcome_words
from orders.invoices.models import Payment
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
    "measured": lambda entry: f"{entry.params['item']}: {outcome_words(entry.params['outcome'])}",
    "mail_sent": lambda entry: f"to {entry.params['to']}",
}


def order_history_rows(entries: Iterable[AuditEntry]) -> list[HistoryRow]:
    """Write who did what to the order and its documents."""
    return history_rows(entries, events=_EVENTS, notes=_NOTES)
