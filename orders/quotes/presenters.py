"""The history of a quote and the changes of a revision, in words."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any, Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import need_name
from catalog.pantry.presenters import allergen_words, need_words
from catalog.records.presenters import Sentences, Writers, reason_sentence
from catalog.records.reasons import Reason, reason_from_json
from catalog.web import display
from orders.documents.need_words import list_words, need_for
from orders.quotes.mails import QUOTE_MAILS
from orders.quotes.void_words import REASON_VOID, void_note
from orders.records.list_seen import list_read
from orders.records.models import AuditEntry
from orders.records.presenters import HistoryRow, Notes, history_rows
from orders.records.presenters import reason_sentence as order_reason

#: Event of the audit trail -> its words in the quote's history.
_EVENTS: Final = {
    "begin": marked("draft started"),
    "zone_corrected": marked("time zone of the kitchen corrected; hours stay as entered"),
    "revise": marked("revision started"),
    "amend_begin": marked("change of the order started"),
    "amend": marked("no longer in force: a change of the order was approved"),
    "save_table": marked("products saved"),
    "set_terms": marked("terms saved"),
    "state_only_name": marked("stated by whoever approved: the name is only a name"),
    "go_below_floor": marked("price below the floor approved by the owner"),
    "measure_instead": marked("measurement instead of the cooling rule recorded"),
    "made_together": marked("sent although a batch is not cold in time together with other orders"),
    REASON_VOID: marked("reason about cooling no longer counts"),
    "send_not_asked": marked("sent although the customer was not asked about allergies"),
    "send_unsure": marked("sent before a time to make it was found"),
    "send_day_over": marked("sent beyond the limits of the day"),
    "settle_needs": marked("guests' allergies and diets settled with the customer"),
    "settle_note": marked("allergy note settled with the customer"),
    "no_need_in_note": marked("allergy note read: no need in it"),
    "note_read": marked("allergy note read: every need in it is in the list"),
    "title_read": marked("event name read: no allergy or diet in it is missing from the list"),
    "inner_note_read": marked("kitchen's own note read: no allergy or diet in it is missing from the list"),
    "place_read": marked("place read: no allergy or diet in it is missing from the list"),
    "customer_name_read": marked("customer's name read: no allergy or diet in it is missing from the list"),
    "customer_note_read": marked("note about the customer read: no allergy or diet in it is missing from the list"),
    "customer_address_read": marked("customer's address read: no allergy or diet in it is missing from the list"),
    "extra_name_read": marked("name of an extra read: no allergy or diet in it is missing from the list"),
    "named_read": marked("named after an allergen, without it"),
    "spoken_read": marked("words about allergens read"),
    "own_words_read": marked("own words to the customer read: what they say about food is true for these guests"),
    "message_read": marked("customer's message read: no allergy or diet in it is missing from the list"),
    "elsewhere_read": marked("message about another quote read: no allergy or diet in it is missing from the list"),
    "needs_before_read": marked("needs of last time read: not among the guests this time"),
    "other_need_read": marked("sent for guests with a need that nobody checked"),
    "less_said_read": marked("seen that less is said of what something contains than before"),
    "fall_read": marked("count lowered below the terms, as agreed with the customer"),
    "never_hot_read": marked("seen that nothing heats it while it is made"),
    "holding_read": marked("own text on keeping read beside the rule’s: both can be followed"),
    "message_recorded": marked("customer's message read: the needs in it are recorded"),
    "no_need_in_message": marked("customer's message read: no allergy or diet in it"),
    "message_replied": marked("reply to the customer's message, without an answer about allergies and diets"),
    "approval_held": marked("approval tried by the customer, not possible"),
    "send_unstated": marked("sent without stating how it is kept"),
    "send_at_room": marked("sent as kept at room temperature"),
    "send": marked("sent"),
    "reserve_day": marked("time kept for the customer"),
    "release_day": marked("time no longer kept"),
    "approve": marked("approved"),
    "decline": marked("declined"),
    "expire": marked("expired"),
    "withdraw": marked("withdrawn"),
    "replace": marked("replaced"),
    "close_links": marked("links revoked"),
    "mail_sent": marked("e-mail sent"),
    "mail_written": marked("e-mail written, not sent: no mail server is set up"),
    "mail_not_needed": marked("e-mail not needed"),
    "reminder_sent": marked("reminder sent"),
    "reminder_written": marked("reminder written, not sent: no mail server is set up"),
    "reminder_not_needed": marked("reminder not needed"),
    "erase": marked("personal data erased"),
}
#: What the names of extras say and their answers deny -> its words.
_NAMED_ONLY: Final = {
    "only_named": marked("named after an allergen, without it: %(names)s"),
    "free_by": marked("free of allergens by its label, its recipe or its maker: %(names)s"),
    "not_eaten": marked("may be food by its name, and is not: %(names)s"),
}


def _read_note(entry: AuditEntry) -> str:
    words = [f"“{entry.note}”"] if entry.note else []
    if named := entry.params.get("named"):
        words.append(gettext("words in it: %(needs)s") % {"needs": need_words(named)})
    return "; ".join(words)


_NOTES: Final[Notes] = {
    "send": lambda entry: (
        gettext("allergens not checked: %(products)s") % {"products": display.listed(entry.params["unchecked"])}
    ),
    "settle_needs": lambda entry: display.listed(entry.params["products"]),
    "save_table": lambda entry: "; ".join(_table_notes(entry)),
    **dict.fromkeys(("no_need_in_message", "message_recorded", "message_replied"), lambda entry: _answer_note(entry)),
    "no_need_in_note": lambda entry: (
        gettext("words in it: %(needs)s") % {"needs": need_words(entry.params["named"])}
        if entry.params["named"]
        else ""
    ),
    **dict.fromkeys(
        (
            *("note_read", "title_read", "inner_note_read", "named_read", "spoken_read", "message_read"),
            *("elsewhere_read", "needs_before_read", "place_read", "customer_name_read", "customer_note_read"),
            *(
                "customer_address_read",
                "extra_name_read",
                "own_words_read",
                "other_need_read",
                "never_hot_read",
                "holding_read",
                "less_said_read",
                "fall_read",
            ),
        ),
        _read_note,
    ),
    "send_day_over": lambda entry: order_reason(reason_from_json(entry.params["reason"])),
    "send_unstated": lambda entry: display.listed(entry.params["products"]),
    "send_at_room": lambda entry: "; ".join(
        gettext("%(name)s: source %(sources)s") % {"name": name, "sources": ", ".join(sources)}
        for name, sources in entry.params["products"]
    ),
    "revise": lambda entry: gettext("from revision %(revision)s") % entry.params,
    "measure_instead": lambda entry: (
        gettext("%(item)s: %(note)s, by %(measured_by)s") % {**entry.params, "note": entry.note}
    ),
    "made_together": lambda entry: f"{display.listed(item['name'] for item in entry.params['items'])}: “{entry.note}”",
    REASON_VOID: lambda entry: void_note(entry.params["items"]),
    "replace": lambda entry: gettext("by revision %(revision)s") % entry.params,
    "close_links": lambda entry: gettext("%(count)s revoked") % entry.params,
    "mail_sent": lambda entry: _mail_words(entry),
    "mail_written": lambda entry: _mail_words(entry),
    "reminder_sent": lambda entry: gettext("to %(address)s") % {"address": entry.params["to"]},
    "reminder_written": lambda entry: gettext("to %(address)s") % {"address": entry.params["to"]},
    "mail_not_needed": lambda entry: gettext(QUOTE_MAILS[entry.params["mail"]].summary),
}


def _answer_note(entry: AuditEntry) -> str:
    """Write the message that was answered, and the list as it was then."""
    seen, words = list_read(entry.note), []
    if seen:
        counts = {code: n for code, n in seen["needs"].items() if n}
        listed = list_words(seen["needs"], counts, seen["note"]) or gettext("empty")
        words = [gettext("“%(text)s”; the list was: %(list)s") % {"text": seen["text"], "list": listed}]
    if "no_guest" in entry.params:
        words.append(
            gettext("not about a guest of this event: %(needs)s") % {"needs": need_words(entry.params["no_guest"])}
        )
    return "; ".join(words)


def _table_notes(entry: AuditEntry) -> Iterator[str]:
    """Write what a saved table has now that it had not, in quantities; then what its extras only have the name of."""
    for name, was, now in entry.params.get("units", ()):
        if not was:
            yield gettext("%(now)s × %(name)s added") % {"name": name, "now": now}
        elif not now:
            yield gettext("%(name)s removed") % {"name": name}
        else:
            yield gettext("%(name)s: %(now)s instead of %(was)s") % {"name": name, "now": now, "was": was}
    if entry.params.get("besides"):
        yield gettext("prices, shares, extras, discount or rush fee changed")
    for name, words in _NAMED_ONLY.items():
        if name in entry.params:
            yield gettext(words) % {"names": display.listed(entry.params[name])}


def _mail_words(entry: AuditEntry) -> str:
    mail = gettext(QUOTE_MAILS[entry.params["mail"]].summary)
    return gettext("%(mail)s, to %(to)s") % {**entry.params, "mail": mail}


def quote_history(entries: Iterable[AuditEntry], customer: str = "") -> list[HistoryRow]:
    """Write who did what to a revision; ``customer`` is the customer's name."""
    return history_rows(entries, events=_EVENTS, notes=_NOTES, customer=customer)


#: Code of a change -> its words.
CHANGES: Final[Sentences] = {
    "line_added": marked("{units} × {name} added."),
    "line_removed": marked("{units} × {name} removed."),
    "units": marked("{name}: {now} instead of {was}."),
    "unit_price": marked("{name}: {now:money} each instead of {was:money}."),
    "unit_price_units": marked("{name}: {now:money} each instead of {was:money}, because the number changed."),
    "unit_price_anew": marked(
        "{name}: {now:money} each instead of {was:money}: it depends on the whole order and was computed again."
    ),
    "contains": marked("{name} now contains {codes:allergens}."),
    "may_contain": marked("{name} may now contain {codes:allergens}."),
    "contains_no_more": marked("{name} no longer contains {codes:allergens}."),
    "may_contain_no_more": marked("{name}: we no longer say that it may contain {codes:allergens}."),
    "contains_now_may": marked("{name} may contain {codes:allergens}; before, we said that it does."),
    "not_known_any_more": marked(
        "{name}: before, we said it contains or may contain {codes:allergens}. That is not checked now: ask us."
    ),
    "charge_added": marked("{name} added: {now:money}."),
    "charge_removed": marked("{name} removed: {was:money}."),
    "charge": marked("{name}: {now:money} instead of {was:money}."),
    "total": marked("The total is {now:money} instead of {was:money}."),
    "window": marked("New time: {now:window}, instead of {was:window}."),
    "times": marked("Other times to choose from: {now:windows}."),
    "place": marked("Place: {now:place} instead of {was:place}."),
    "guests": marked("Guests: {now:number} instead of {was:number}."),
    "need_added": marked("New among the allergies and diets: {need:need}."),
    "need_counted": marked("Among the allergies and diets now: {need:need}."),
    "need_removed": marked("No longer among the allergies and diets: {need:need}."),
    "valid_until": marked("Valid until {now:day}."),
    "deposit": marked("Deposit: {now:money} instead of {was:money}."),
    "deposit_new": marked("Deposit: {now:money}."),
    "deposit_terms": marked("The deposit has another due date."),
    "deposit_days": marked("Deposit: due {now:number} days after approval instead of {was:number}."),
    "deposit_latest": marked("Deposit: due by {now:day} at the latest instead of {was:day}."),
    "payments_before": marked("The payments before the event changed."),
    "final_count": marked("Final number of guests: by {now:day}."),
    "no_final_count": marked("No date is set for the final number of guests."),
    "balance_terms": marked("Balance: due {now:number} days after the invoice instead of {was:number}."),
    "final_count_fall": marked("How far the guest count may be lowered after its final date changed."),
    "payments_after": marked("The payments after the invoice changed."),
    "note": marked("The note changed."),
    "cancellation_terms": marked("The cancellation terms changed."),
    "holding": marked("How to keep and serve {name} changed."),
}


def _window_words(window: Sequence[datetime]) -> str:
    start, end = window
    return display.window(start, end)


def _need_words(need: Sequence[Any]) -> str:
    code, guests = need
    return need_name(code) if guests is None else need_for(code, guests)


_WRITERS: Final[Writers] = {
    "need": _need_words,
    "allergens": allergen_words,
    "money": display.minor,
    "day": display.day,
    "window": _window_words,
    "windows": lambda windows: display.joined([_window_words(one) for one in windows]) or gettext("none"),
    "place": lambda place: place or gettext("none"),
    "number": lambda guests: str(guests or gettext("not known")),
}


def change_sentences(changes: Iterable[Reason]) -> list[str]:
    """Write the changes from one revision to the next."""
    return [reason_sentence(change, CHANGES, _WRITERS) for change in changes]
