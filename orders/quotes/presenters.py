"""The history of a quote and the changes of a revision, in words."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final

from catalog.pantry.presenters import allergen_words
from catalog.records.presenters import Sentences, Writers, reason_sentence
from catalog.records.reasons import Reason
from catalog.web import display
from orders.quotes.mails import QUOTE_MAILS
from orders.records.models import AuditEntry
from orders.records.presenters import HistoryRow, Notes, history_rows

#: Event of the audit trail -> its words in the quote's history.
_EVENTS: Final = {
    "begin": "begun",
    "revise": "begun as a revision",
    "save_table": "table kept",
    "set_terms": "terms kept",
    "go_below_floor": "allowed below the floor margin",
    "measure_instead": "measured instead of the cooling rule",
    "settle_needs": "settled with the customer: what guests cannot eat",
    "send_unstated": "sent without words on how it is kept",
    "send": "sent",
    "approve": "approved",
    "decline": "declined",
    "expire": "expired",
    "withdraw": "withdrawn",
    "replace": "replaced",
    "close_links": "links closed",
    "erase": "personal words erased",
}
_NOTES: Final[Notes] = {
    "send": lambda entry: f"allergens not all checked: {', '.join(entry.params['unchecked'])}",
    "settle_needs": lambda entry: ", ".join(entry.params["products"]),
    "send_unstated": lambda entry: ", ".join(entry.params["products"]),
    "revise": lambda entry: f"from revision {entry.params['revision']}",
    "measure_instead": lambda entry: f"{entry.params['item']}: {entry.note}, by {entry.params['measured_by']}",
    "replace": lambda entry: f"by revision {entry.params['revision']}",
    "close_links": lambda entry: f"{entry.params['count']} closed",
    "mail_sent": lambda entry: f"{QUOTE_MAILS[entry.params['mail']].summary}, to {entry.params['to']}",
    "mail_not_needed": lambda entry: QUOTE_MAILS[entry.params["mail"]].summary,
}


def quote_history(entries: Iterable[AuditEntry]) -> list[HistoryRow]:
    """Write who did what to a revision."""
    return history_rows(entries, events=_EVENTS, notes=_NOTES)


#: Code of a change -> its words.
CHANGES: Final[Sentences] = {
    "line_added": "{units} × {name} added.",
    "line_removed": "{units} × {name} taken off.",
    "units": "{name}: {now} instead of {was}.",
    "unit_price": "{name}: {now:money} each instead of {was:money}.",
    "contains": "{name} now contains {codes:allergens}.",
    "may_contain": "{name} may now contain {codes:allergens}.",
    "contains_no_more": "{name} contains {codes:allergens} no more.",
    "charge_added": "{name} added: {now:money}.",
    "charge_removed": "{name} taken off: {was:money}.",
    "charge": "{name}: {now:money} instead of {was:money}.",
    "total": "The total is {now:money} instead of {was:money}.",
    "window": "Hand-over {now:window} instead of {was:window}.",
    "place": "Place: {now:place} instead of {was:place}.",
    "guests": "{now:guests} guests instead of {was:number}.",
    "valid_until": "They can say yes until {now:day}.",
    "deposit": "Deposit {now:money}.",
    "note": "The note changed.",
    "cancellation_terms": "The cancellation terms changed.",
    "holding": "How to hold and serve {name} changed.",
}


def _window_words(window: Sequence[datetime]) -> str:
    start, end = window
    return display.window(start, end)


_WRITERS: Final[Writers] = {
    "allergens": allergen_words,
    "money": display.minor,
    "day": display.day,
    "window": _window_words,
    "place": lambda place: place or "none",
    "guests": lambda guests: str(guests or "No number of"),
    "number": lambda guests: str(guests or "no number"),
}


def change_sentences(changes: Iterable[Reason]) -> list[str]:
    """Write the changes from one revision to the next."""
    return [reason_sentence(change, CHANGES, _WRITERS) for change in changes]
