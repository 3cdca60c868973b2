"""What happened to a quote, in words."""

from collections.abc import Iterable
from typing import Final

from orders.quotes.mails import QUOTE_MAILS
from orders.records.models import AuditEntry
from orders.records.presenters import HistoryRow, Notes, history_rows

#: Event of the audit trail -> what the quote's history says.
_EVENTS: Final = {
    "begin": "begun",
    "revise": "begun as a revision",
    "keep_table": "table kept",
    "set_terms": "terms kept",
    "go_below_floor": "allowed below the floor margin",
    "send": "sent",
    "approve": "approved",
    "decline": "declined",
    "expire": "expired",
    "withdraw": "withdrawn",
    "replace": "replaced",
    "close_links": "links closed",
}
_NOTES: Final[Notes] = {
    "revise": lambda entry: f"from revision {entry.params['revision']}",
    "replace": lambda entry: f"by revision {entry.params['revision']}",
    "close_link": lambda entry: f"link {entry.params['link']}",
    "close_links": lambda entry: f"{entry.params['count']} closed",
    "mail_sent": lambda entry: f"{QUOTE_MAILS[entry.params['mail']].summary}, to {entry.params['to']}",
    "mail_not_needed": lambda entry: QUOTE_MAILS[entry.params["mail"]].summary,
}


def quote_history(entries: Iterable[AuditEntry]) -> list[HistoryRow]:
    """Say who did what to a revision."""
    return history_rows(entries, events=_EVENTS, notes=_NOTES)
