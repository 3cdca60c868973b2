"""The history of an order and its documents in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import need_name
from catalog.web import display
from orders.cooling_log.breaches import BREACHED, DISMISSED
from orders.cooling_log.presenters import outcome_words
from orders.cooling_log.reasons import REASON_GIVEN
from orders.cooling_log.starting import LATE, UNJUDGED
from orders.documents.need_words import need_for
from orders.documents.short_need_words import need_in_short
from orders.inquiries.services import TAKEN_OFF
from orders.invoices.models import Invoice, Payment
from orders.orders.cancel_presenters import canceled_note
from orders.orders.event_hours import ZONE_CORRECTED
from orders.orders.informing import INFORMED, Informed, Informing, TakenOff
from orders.orders.models import Order
from orders.orders.selectors import SHOWS, SORTS, Known
from orders.quotes.draft.note_needs import WordsOpen
from orders.quotes.draft.presenters import changed_sentences
from orders.quotes.void_words import REASON_VOID, void_note
from orders.records.models import AuditEntry
from orders.records.presenters import HistoryRow, Notes, history_rows, reading_words
from orders.reminders.words import kind_words

#: Event of the audit trail -> its words in the order's history.
_EVENTS: Final = {
    "confirm": marked("order confirmed"),
    "amend_begin": marked("change started"),
    "amend": marked("order changed"),
    "bill_to": marked("name or address for the invoice changed"),
    "sheets": marked("kitchen sheets opened"),
    "start": marked("production started"),
    "deliver": marked("delivered or picked up"),
    "close": marked("order closed"),
    "cancel": marked("order canceled"),
    "note": marked("kitchen note changed"),
    "measured": marked("cooling measured"),
    "request": marked("payment request issued"),
    "request_mail_sent": marked("payment request e-mailed"),
    "request_mail_written": marked("payment request written, not sent: no mail server is set up"),
    "deposit": marked("deposit recorded"),
    "payment": marked("payment recorded"),
    "refund": marked("refund recorded"),
    "draft": marked("invoice drafted"),
    "discard": marked("draft discarded"),
    "issue": marked("document issued"),
    "pay_part": marked("invoice partly paid"),
    "pay_all": marked("invoice paid or credited in full"),
    "unpay": marked("invoice open again"),
    DISMISSED: marked("cooling mark dismissed"),
    BREACHED: marked("cooling rule broken while it may have been in production"),
    REASON_GIVEN: marked("made as one batch with other orders all the same"),
    REASON_VOID: marked("reason about cooling no longer counts"),
    UNJUDGED: marked("made all the same while its cooling could not be judged"),
    LATE: marked("made as one batch all the same, although it is then not cold before the order leaves"),
    TAKEN_OFF: marked("allergies or diets taken off"),
    ZONE_CORRECTED: marked("time zone of the kitchen corrected; hours stay as entered"),
    INFORMED: marked("customer informed of allergens or guests' needs"),
    "mail_sent": marked("document e-mailed"),
    "mail_written": marked("e-mail of a document written, not sent: no mail server is set up"),
    "reminder_sent": marked("reminder sent"),
    "reminder_written": marked("reminder written, not sent: no mail server is set up"),
    "reminder_not_needed": marked("reminder not needed"),
    "receipt_sent": marked("confirmation of a payment e-mailed"),
    "receipt_written": marked("confirmation of a payment written, not sent: no mail server is set up"),
    "receipt_not_needed": marked("confirmation of a payment not needed"),
    "erase": marked("personal words erased"),
}
#: Kind of payment -> what it is called in the history that one was taken back.
_REVERSED: Final = {
    "deposit": marked("deposit payment reversed"),
    "payment": marked("payment reversed"),
    "refund": marked("refund reversed"),
}
#: What happened with money that was paid for a canceled order.
CANCELED_MONEY: Final = {
    Order.CanceledMoney.REFUND: marked("What was paid is refunded to the customer."),
    Order.CanceledMoney.CREDIT: marked("What was paid is held as customer credit."),
    Order.CanceledMoney.KEEP: marked("The kitchen retains what was paid under the cancellation terms."),
}


def canceled_money_words(decided: str) -> str:
    """Write what happens with money that was paid for an order canceled without a table; empty where nothing was."""
    return gettext(CANCELED_MONEY[Order.CanceledMoney(decided)]) if decided else ""


def _payment_note(entry: AuditEntry) -> str:
    amount = display.minor(entry.params["amount_minor"], entry.params["currency"])
    return f"{amount} {Payment.Method(entry.params['method']).label}"


def _reminder_note(entry: AuditEntry) -> str:
    facts = {"what": kind_words(entry.params["reminder"]), "address": entry.params["to"]}
    return gettext("%(what)s, to %(address)s") % facts


def _cancel_note(entry: AuditEntry) -> str:
    if "canceled_by" in entry.params:
        return f"“{entry.note}” {canceled_note(entry.params)}"
    facts = {"reason": entry.note, "money": canceled_money_words(entry.params["money"])}
    return gettext("“%(reason)s” %(money)s") % facts


def _mailed_note(entry: AuditEntry) -> str:
    """Name the document that was e-mailed, where that was noted, and to whom."""
    facts = {"address": entry.params["to"], "number": entry.params.get("number", "")}
    words = gettext("%(number)s to %(address)s") if facts["number"] else gettext("to %(address)s")
    return words % facts


def _informed_note(entry: AuditEntry) -> str:
    way = _by_way(entry.params["way"])
    return f"{way}: “{entry.note}”" if entry.note else way


def _by_way(way: str) -> str:
    return gettext("by e-mail") if way == "mail" else gettext("by phone")


#: Parameter of an event -> what was known or read then.
_SEEN: Final = {
    "messages": marked("A message about allergies was not answered."),
    "read": marked("Messages of the customer were read first."),
    "note_read": marked("The kitchen note was read first."),
    "untold": marked("The customer did not know of a change of allergens or needs."),
}


def _despite_note(entry: AuditEntry) -> str:
    words = [entry.note] if entry.note else []
    if gone := entry.params.get("left_out"):
        parts = entry.params.get("left_out_parts", {})
        names = [_numbered(name, parts.get(name, ())) for name in gone]
        facts = {"items": display.joined(names), "note": entry.note}
        words = [gettext("Discarded, did not go out: %(items)s. “%(note)s”") % facts]
    if core := entry.params.get("core"):
        measured = gettext("Core temperature at the hand-over: %(core)s.") % {"core": reading_words(Decimal(core))}
        words.insert(0, measured)
    if unmeasured := entry.params.get("unmeasured"):
        words.append(
            gettext("Exception by the owner: handed over although nothing showed that it was cold in time: %(items)s.")
            % {"items": display.joined(unmeasured)}
        )
    if early := entry.params.get("early"):
        words.append(gettext("Earlier than it keeps: %(items)s.") % {"items": display.joined(early)})
    words += [gettext(text) for name, text in _SEEN.items() if entry.params.get(name)]
    return " ".join(words)


def kitchen_note_words(found: WordsOpen | None) -> str:
    """Say what an order's kitchen note names and no need stands for; empty where it is None."""
    if found is None:
        return ""
    if not found.missing:
        return gettext("The kitchen note may name what a guest cannot eat.")
    named = (need_name(code) if count is None else need_for(code, count) for code, count in found.missing.items())
    facts = {"needs": display.joined(list(named))}
    return gettext("The kitchen note names %(needs)s, which is not among the needs.") % facts


def _numbered(name: str, numbers: Iterable[int]) -> str:
    """Write a name with the numbers of its loads or vessels, where not all are meant."""
    which = display.joined([str(number) for number in numbers])
    return gettext("%(name)s, number %(numbers)s") % {"name": name, "numbers": which} if which else name


def _broken_words(item: Mapping[str, Any]) -> str:
    """Write what broke the rule, and by what: an edit, or that it is made at once for several orders."""
    text = (
        gettext("%(name)s, as one batch with other orders") if item.get("orders") else gettext("%(name)s, by an edit")
    )
    return text % {"name": item["name"]}


def _amended_note(entry: AuditEntry) -> str:
    """Write which revision is in force, and what the total became."""
    was, now = (display.minor(entry.params[name], entry.params["currency"]) for name in ("was_minor", "now_minor"))
    facts = {"revision": entry.params["revision"], "was": was, "now": now}
    return gettext("revision %(revision)s is in force; total %(now)s, before %(was)s") % facts


_NOTES: Final[Notes] = {
    "sheets": lambda entry: gettext("revision %(revision)s") % entry.params,
    "start": _despite_note,
    "deliver": _despite_note,
    "confirm": lambda entry: gettext("from quote %(number)s") % {"number": entry.params["quote"]},
    "cancel": _cancel_note,
    "amend_begin": lambda entry: gettext("revision %(revision)s") % entry.params,
    "amend": _amended_note,
    "deposit": _payment_note,
    "payment": _payment_note,
    "refund": _payment_note,
    INFORMED: _informed_note,
    TAKEN_OFF: lambda entry: ", ".join(_counted(need, guests) for need, guests in entry.params["needs"].items()),
    DISMISSED: lambda entry: f"{entry.params['name']}: “{entry.note}”",
    BREACHED: lambda entry: "; ".join(map(_broken_words, entry.params["items"])),
    UNJUDGED: lambda entry: f"{display.listed(entry.params['items'])}: “{entry.note}”",
    LATE: lambda entry: f"{display.listed(entry.params['items'])}: “{entry.note}”",
    REASON_GIVEN: lambda entry: f"{display.listed(item['name'] for item in entry.params['items'])}: “{entry.note}”",
    REASON_VOID: lambda entry: void_note(entry.params["items"]),
    "measured": lambda entry: f"{entry.params['item']}: {outcome_words(entry.params['outcome'])}",
    "reminder_sent": lambda entry: _reminder_note(entry),
    "reminder_written": lambda entry: _reminder_note(entry),
    "reminder_not_needed": lambda entry: kind_words(entry.params["reminder"]),
    "receipt_sent": lambda entry: gettext("to %(address)s") % {"address": entry.params["to"]},
    "receipt_written": lambda entry: gettext("to %(address)s") % {"address": entry.params["to"]},
    "mail_sent": lambda entry: _mailed_note(entry),
    "mail_written": lambda entry: _mailed_note(entry),
}


def order_history_rows(
    entries: Iterable[AuditEntry], customer: str = "", documents: Iterable[Invoice] = ()
) -> list[HistoryRow]:
    """Write who did what to the order and its documents; ``customer`` is the customer's name."""
    listed, numbers = list(entries), {one.pk: one for one in documents}
    rows = history_rows(listed, events=_EVENTS, notes=_NOTES, customer=customer)
    return [_exactly(row, entry, numbers) for row, entry in zip(rows, listed, strict=True)]


def _exactly(row: HistoryRow, entry: AuditEntry, numbers: Mapping[int, Invoice]) -> HistoryRow:
    """Name the document that was issued, and call a row that takes a payment back what it is."""
    if entry.event == "issue" and (document := numbers.get(entry.document_pk)):
        note, facts = document.is_credit_note, {"number": document.number}
        words = gettext("credit note %(number)s issued") if note else gettext("invoice %(number)s issued")
        return replace(row, what=words % facts)
    if entry.event == "pay_all" and (document := numbers.get(entry.document_pk)) and "credited_minor" in entry.params:
        return replace(row, what=_settled_words(entry.params["credited_minor"], document.total_minor))
    if entry.event in _REVERSED and (entry.params["amount_minor"] < 0) != (entry.event == Payment.Kind.REFUND):
        return replace(row, what=gettext(_REVERSED[entry.event]))
    return row


def _settled_words(credited: int, total: int) -> str:
    """Say by what nothing of an invoice is open any more."""
    if credited and credited >= total:
        return gettext("invoice credited in full")
    return gettext("invoice partly credited, the rest paid") if credited else gettext("invoice paid in full")


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
    facts = {"moment": display.moment(one.at), "way": _by_way(one.way)}
    if not one.counts:
        return gettext("The e-mail to the customer of %(moment)s could not be sent: call them. Asked for by") % facts
    if one.on_its_way:
        return gettext("The e-mail to the customer is on its way, asked for %(moment)s by") % facts
    return gettext("The customer was informed on %(moment)s %(way)s, by") % facts


def untold_sentences(found: Informing) -> list[str]:
    """Write what the customer does not know yet: how needs recorded since are served, then what changed."""
    needs = (need_in_short(need) for need in found.needs)
    served = (f"{need.title}. {need.sentence}" for need in needs)
    return [*taken_off_sentences(found), *served, *changed_sentences(found.open)]


def unsettled_sentences(known: Known) -> list[str]:
    """Write what is not settled with an order's customer: messages that nobody answered, what they do not know."""
    wrote = gettext("%(name)s wrote, and nobody has answered it: “%(text)s”")
    return [
        *(wrote % {"name": one.by, "text": one.text} for one in known.since.messages),
        *untold_sentences(known.informing),
    ]


def taken_off_sentences(found: Informing) -> list[str]:
    """Write which needs the customer was told of and are recorded no more."""
    return list(map(_taken_off, found.taken_off))


def _taken_off(one: TakenOff) -> str:
    facts = {"need": _counted(one.need, one.guests), "told": display.moment(one.reported_at)}
    if one.at is None:
        return gettext("%(need)s was taken off; the customer was told of it on %(told)s: tell them.") % facts
    words = gettext("%(need)s was taken off on %(moment)s; the customer was told of it on %(told)s: tell them.")
    return words % {**facts, "moment": display.moment(one.at)}


def _counted(need: str, guests: int | None) -> str:
    """Write a need within a sentence: milk for 2 guests."""
    return need_name(need) if guests is None else need_for(need, guests)


def taken_off_mailed(found: Informing) -> list[str]:
    """Write to the customer which needs are recorded no more."""
    some = gettext("We do not count on %(need)s among your guests any more. Tell us at once if that is wrong.")
    counted = gettext("We do not count on %(need)s any more. Tell us at once if that is wrong.")
    return [
        (some if one.guests is None else counted) % {"need": _counted(one.need, one.guests)} for one in found.taken_off
    ]


def informing_short(found: Informing) -> str:
    """Write in a few words whether a customer knows of what changed; empty where nothing did."""
    if found.waits:
        return gettext("Not told to the customer yet")
    if not found.records:
        return ""
    last = found.records[-1]
    if last.on_its_way:
        return gettext("The e-mail to the customer is on its way")
    facts = {"moment": display.moment(last.at), "way": _by_way(last.way)}
    return gettext("Customer informed on %(moment)s %(way)s") % facts


#: Which orders -> what the list is called.
_LISTS: Final = {
    "open": marked("Open"),
    "confirmed": marked("Confirmed"),
    "in_production": marked("In production"),
    "delivered": marked("Delivered or picked up"),
    "closed": marked("Closed and canceled"),
    "all": marked("All"),
}
_SORTS: Final = {
    "next": marked("Next to leave"),
    "latest": marked("Latest event first"),
    "customer": marked("Customer"),
    "event": marked("Event name"),
    "number": marked("Newest order first"),
    "total": marked("Highest total first"),
}


@dataclass(frozen=True, slots=True)
class ListShown:
    """One of the lists of orders: its name, its address, and whether it is the one that is open."""

    name: str
    address: str
    current: bool


def lists_shown(current: str, query: QueryDict) -> list[ListShown]:
    """Name the lists of orders, with the one that is open; each for the same day. A text is looked for in all."""
    return [ListShown(gettext(_LISTS[show]), _list_address(show, query), show == current) for show in SHOWS]


def _list_address(show: str, query: QueryDict) -> str:
    looked_for = query.copy()
    looked_for.pop("page", None)
    looked_for.pop("sort", None)
    looked_for.pop("find", None)
    looked_for["show"] = show
    return f"?{looked_for.urlencode()}"


def sort_choices(*, money: bool) -> list[tuple[str, str]]:
    """Return in what order a list of orders can be; by total for those who see money."""
    return [(sort, gettext(_SORTS[sort])) for sort in SORTS if money or sort != "total"]
