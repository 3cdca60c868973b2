"""Refusals of quotes, orders and invoices in sentences; statuses and the audit trail in words."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked
from djmoney.money import Money

from catalog.products.presenters import claim_sentence
from catalog.records import presenters
from catalog.records.presenters import Sentences, Writers, claims_words
from catalog.records.reasons import Reason
from catalog.web import display
from orders.records.actors import CLOCK, COMMAND, CUSTOMER, MAIL
from orders.records.amend_presenters import AMEND_SENTENCES
from orders.records.cancel_presenters import CANCEL_SENTENCES
from orders.records.cooling_presenters import COOLING_SENTENCES, COOLING_WRITERS
from orders.records.errors import OrderError
from orders.records.models import AuditEntry
from orders.records.need_presenters import NEED_SENTENCES, NEED_WRITERS
from orders.records.states import InvoiceEvent, InvoiceStatus, OrderEvent, OrderStatus, QuoteEvent, QuoteStatus
from orders.records.terms_presenters import TERMS_SENTENCES, TERMS_WRITERS
from orders.records.window_presenters import WINDOW_SENTENCES, WINDOW_WRITERS

#: Code of a refusal, or of a reason in one of its parameters -> its words.
SENTENCES: Final[Sentences] = {
    "order": marked("This cannot be done."),
    "transition_not_allowed": marked("{what} is {status:status}, so you cannot {event:event} it."),
    "changed_meanwhile": marked("{what} was changed in the meantime. Look at it again before you continue."),
    "totals_differ": marked("The lines of {what} do not add up to its total, so it was not sent."),
    "cannot_render": marked("The PDF of {what} could not be made: {why}"),
    "no_address": marked("{who} has no valid e-mail address. Enter one on the customer's page first."),
    # Inquiries.
    "inquiry_closed": marked("{what} is closed. Reopen it before you change it."),
    "inquiry_has_quote_out": marked("{quote} is with the customer. Withdraw it before you close the inquiry."),
    # A draft, and sending it.
    "not_a_draft": marked("{what} is {status:status}: only a draft can be changed. Create a revision instead."),
    "override_needs_reason": marked("Enter the reason this quote may go below the floor margin."),
    "empty_table": marked("{what} has no products yet. Add a product before you send it."),
    "below_floor": marked(
        "{what} has a margin of {margin:margin} on the products, below the floor of {floor:margin}. "
        "Raise a price, lower the discount, or record why it may go below."
    ),
    "allergens_unchecked": marked(
        "{products:names}: not every allergen is checked. Check the ingredients' allergens, or check the box to "
        "send it "
        "anyway."
    ),
    "words_unproven": marked(
        "{where:profile_text} goes out with the quote. {claims:claims} Take these words out and write what you do "
        "handle, or answer for each of them by its label."
    ),
    "claims_untrue": marked(
        "{claims:dish_claims} Change these words, or the answers where the supplier's label says otherwise, before it "
        "is sent."
    ),
    "note_unproven": marked(
        "{where:text_read}: {claims:claims} The customer relies on what you write. Take these words out and write "
        "what is so, or answer for what is not checked by its label."
    ),
    "note_unsettled": marked(
        "The allergy note says “{note}”. Add on the inquiry what it names, or check the box that every need in it "
        "is in the "
        "list."
    ),
    "needs_unsettled": marked(
        "{products:names}: some guests cannot eat this, or nobody checked it for them. Settle it with the customer and "
        "check the box that it is settled, or change the products."
    ),
    "holding_unseen": marked(
        "{products:names}: nothing says how this is kept. Write it on the product, or check the box that you have "
        "seen it."
    ),
    "room_holding_unseen": marked(
        "{products:names}: kept at room temperature, by its source. Check the box that you have seen it, or write "
        "on the "
        "product that it is held cold."
    ),
    **WINDOW_SENTENCES,
    **COOLING_SENTENCES,
    **NEED_SENTENCES,
    **TERMS_SENTENCES,
    **AMEND_SENTENCES,
    **CANCEL_SENTENCES,
    "window_too_early": marked("{reason} {instead}"),
    "window_taken": marked(
        "Not everything can be made for this time beside what is promised already. Choose another time, or state more "
        "hands, molds or places on the kitchen's pages."
    ),
    "outside_hours": marked("{reason} {instead}"),
    "day_over_limit": marked("{reason} Check the box that you take it all the same, or choose another day."),
    "never_cold": marked("{reason} {instead}"),
    "out_too_long": marked("{reason} {instead}"),
    "cooling_rule_broken": marked(
        "{products:names}: not cold in the time the rule asks for, or hot and nobody has stated how it cools. "
        "Record what is measured instead, and by whom, before {what} is sent or approved, or change the steps."
    ),
    "never_cold_by_now": marked(
        "{products:names}: may never get cold where it chills, as the catalog is now. Set colder air there, or change "
        "the steps, before {what} is sent or approved: a record of what is measured does not help."
    ),
    "quote_over": marked("{what} is {status:status}, so no measurement is recorded for it."),
    "validity_passed": marked("The date {what} is valid until has passed. Set a later date before you send it."),
    "event_passed": marked("The event date of {what} has passed. Correct the date on the inquiry before you send it."),
    "price_changed": marked(
        "The total is now {now:money}; it was {seen:money} when you reviewed it. Review it again before you send it."
    ),
    "already_approved": marked("{what} was approved and is an order. Create another quote for additions."),
    "another_draft": marked("{what} is already a draft of the same quote. Edit that draft, or discard it first."),
    "quote_erased": marked(
        "The personal data of {what} was erased, so it cannot be changed. Create a new inquiry instead."
    ),
    "still_open": marked("Not finished: {what}. Personal data is erased when nothing is open and no money is owed."),
    # The customer's side.
    "link_needs_sent_quote": marked("{what} was never sent, so it has no link. Send it first."),
    "pdf_not_stored": marked("The PDF of {what} is still being made. Try again in a few seconds."),
    "quote_replaced": marked(
        "The kitchen changed this quote on {day:day}: it was replaced by a newer one. Nothing was approved here."
    ),
    "newer_approved": marked("This quote was replaced by a newer one, which was approved on {day:day}."),
    "quote_expired": marked(
        "This quote was valid until {day:moment}, so it can no longer be approved. Ask the kitchen for a new one."
    ),
    "quote_event_over": marked(
        "This quote is for {day:day}, and that time has passed, so it can no longer be approved. Write to the kitchen "
        "if you would like a quote for another day."
    ),
    "quote_withdrawn": marked(
        "The kitchen withdrew this quote on {day:day}, so it can no longer be approved. Ask the kitchen for a new one."
    ),
    "quote_declined": marked(
        "This quote was declined on {day:day}, so it can no longer be approved. Ask the kitchen for a new one."
    ),
    "content_differs": marked("The quote changed after this page was opened. Read it again before you approve it."),
    "allergens_changed": marked(
        "{products:names}: the allergens changed after the quote was sent. Send a revision, so that the customer reads "
        "them before approving."
    ),
    "kitchen_must_tell": marked(
        "Nothing was approved: the allergens of some items changed after the quote was sent, and the kitchen has to "
        "tell you first. Call or write to the kitchen."
    ),
    "traces_changed": marked(
        "What you say about traces changed after the quote was sent, and guests have allergies or diets. Send a "
        "revision, so that the customer reads it before approving."
    ),
    "needs_not_in_quote": marked(
        "The quote does not answer what was recorded after it was sent: {needs:needs}. Send a revision, so that the "
        "customer reads what serves these guests before approving."
    ),
    "kitchen_must_answer": marked(
        "Nothing was approved: you told the kitchen of an allergy or diet after the quote was sent, and it does not "
        "answer that yet. Call or write to the kitchen."
    ),
    "name_names_need": marked(
        "Nothing was approved: beside your name you wrote what may be about allergies, diets or more guests. We have "
        "sent it to the kitchen as a message. Approve with your name alone."
    ),
    "kitchen_must_check": marked(
        "Nothing was approved: the kitchen first has to settle how some items are kept cold. Call or write to the "
        "kitchen; your quote stays as it is."
    ),
    "call_note_missing": marked("Enter whom you reached and what they answered, so that others know it."),
    "kitchen_must_look": marked(
        "Nothing was approved yet: the kitchen has to look at this quote first. We have sent them a note that you want "
        "to approve it; your quote stays as it is."
    ),
    "kitchen_not_informed": marked(
        "Nothing was approved: the kitchen has to look at this quote first, and no further message about it can be "
        "sent to them today. Call the kitchen; your quote stays as it is."
    ),
    "not_judged_now": marked(
        "{what} cannot be approved now: the catalog has an error in what it consists of, so nobody can say whether it "
        "is cold in time and what it contains. Open the catalog, correct what it names, then record the approval."
    ),
    "name_missing": marked("Enter your full name, as you would sign."),
    "reason_missing": marked("Enter how the approval was given: by phone to whom, or on which document."),
    "message_missing": marked("Enter what should be changed."),
    "too_many_messages": marked(
        "The kitchen received {count} messages about this quote in one day. Call them, or write again tomorrow."
    ),
    # Orders.
    "not_invoiced": marked("{order} has no invoice yet. Issue it, then close the order."),
    "not_paid": marked("{order} is not paid: {open:money} is due. Record the payment, then close the order."),
    "credit_left": marked("{customer} has a credit of {amount:money}. Refund it, then close the order."),
    "decide_the_money": marked(
        "{amount:money} was paid for {order}. Choose what happens to it before you cancel the order."
    ),
    # Invoices, credit notes, payments, exports.
    "already_invoiced": marked(
        "{order} already has invoice {invoice}. To replace it, issue a credit note for it first."
    ),
    "canceled_order": marked("{order} is canceled and no money is retained, so there is nothing to invoice."),
    "does_not_add_up": marked("The lines of {what} do not add up to its totals, so nothing was issued."),
    "nothing_to_credit": marked(
        "Nothing was credited: {invoice} has {left:money} left to credit, and no amount above zero was entered."
    ),
    "credit_differs": marked("{invoice} was credited meanwhile, so this would credit {total:money}. Review it again."),
    "too_much_credited": marked("At most {most:money} is left to credit of {what} on {invoice}."),
    "not_an_issued_invoice": marked(
        "{invoice} is not an issued invoice, so there is nothing to credit. A draft can be discarded."
    ),
    "too_much_back": marked("At most {most:money} can be refunded: that is the credit of {customer} on {order}."),
    "recorded_before": marked(
        "This form already recorded {amount:money}. For another payment, open “Record payment” again; "
        "reverse a mistake on the order."
    ),
    "already_reversed": marked("This payment is already reversed. If it was paid again, record a new payment."),
    "nothing_to_export": marked(
        "Nothing to export: every document issued from {first:day} to {last:day} is already in an export, "
        "or none was issued."
    ),
    # What a refusal is about.
    "the_quote": marked("Quote {number}"),
    "quote": marked("quote {number}"),
    "exports": marked("The list of exports"),
    "taxed_as": marked("items taxed as {tax}"),
    # Why a PDF was not made.
    "no_pango": marked("Pango, which draws the text, is not installed."),
    "may_not_load": marked("it uses a file that documents may not load."),
}

#: Status -> its label, translated when it is written.
_STATUSES: Final[Mapping[str, Any]] = {
    str(code): label for statuses in (QuoteStatus, OrderStatus, InvoiceStatus) for code, label in statuses.choices
}
#: Event -> what it does to a document.
_EVENTS: Final[Mapping[str, str]] = {
    QuoteEvent.SEND: marked("send"),
    QuoteEvent.APPROVE: marked("approve"),
    QuoteEvent.DECLINE: marked("decline"),
    QuoteEvent.EXPIRE: marked("expire"),
    QuoteEvent.WITHDRAW: marked("withdraw"),
    QuoteEvent.REPLACE: marked("replace"),
    OrderEvent.START: marked("start"),
    OrderEvent.DELIVER: marked("deliver"),
    OrderEvent.CLOSE: marked("close"),
    OrderEvent.CANCEL: marked("cancel"),
    InvoiceEvent.ISSUE: marked("issue"),
    InvoiceEvent.PAY_PART: marked("part pay"),
    InvoiceEvent.PAY_ALL: marked("pay"),
    InvoiceEvent.UNPAY: marked("reverse the payment of"),
    "discard": marked("discard"),
}
#: Actor that is no person -> its name.
_ACTORS: Final[Mapping[str, str]] = {
    CLOCK: marked("Coldset (automatic)"),
    MAIL: marked("Coldset (automatic)"),
    COMMAND: marked("command line"),
}


def sentence(error: OrderError) -> str:
    """Write what was refused, and what works instead."""
    return reason_sentence(error.reason)


def reason_sentence(reason: Reason) -> str:
    """Write a reason with the sentence of its code."""
    return presenters.reason_sentence(reason, SENTENCES, WRITERS)


def status_words(status: str) -> str:
    """Write a document's status."""
    return str(_STATUSES.get(status, status))


def event_words(event: str) -> str:
    """Write an event as a verb."""
    return gettext(_EVENTS[event]) if event in _EVENTS else event.replace("_", " ")


def _money_words(amount: Money | str) -> str:
    return amount if isinstance(amount, str) else display.minor(amount)


def _margin_words(margin: Any) -> str:
    if isinstance(margin, str):
        return margin
    return gettext("nothing") if margin is None else display.percent(margin)


def _day_words(day: Any) -> str:
    return day if isinstance(day, str) else display.day(day)


def _moment_words(moment: Any) -> str:
    return moment if isinstance(moment, str) else display.moment(moment)


def reading_words(celsius: Any) -> str:
    """Write a measured temperature to a tenth of a degree, so that what is too warm never reads as cold enough."""
    return celsius if isinstance(celsius, str) else display.temperature(celsius, 1)


#: Place of words that a customer reads -> what they are called.
_TEXTS_READ: Final[Mapping[str, str]] = {
    "note": marked("The note to the customer"),
    "kitchen_note": marked("The kitchen note"),
    "cancellation_terms": marked("The cancellation terms"),
    "title": marked("The event name"),
    "place": marked("The place"),
    "allergy_note": marked("The allergy notes"),
    "pictures": marked("The description of a picture"),
    "extras": marked("The name of an extra"),
    "taxes": marked("The name of a tax, or why none is charged"),
    "text": marked("Your reply"),
    "reason": marked("The reason"),
}
#: Column of the profile -> what its words are called.
_PROFILE_TEXTS: Final[Mapping[str, str]] = {
    "name": marked("The kitchen's name"),
    "cross_contact": marked("What your profile says about traces"),
    "approve_button": marked("The wording of your approval button"),
    "payment_details": marked("What your profile says about payment"),
    "tax_note": marked("The tax wording in your profile"),
    "time_out_source": marked("The source of your time limit"),
}

WRITERS: Final[Writers] = {
    **WINDOW_WRITERS,
    **COOLING_WRITERS,
    **NEED_WRITERS,
    **TERMS_WRITERS,
    "text_read": lambda place: gettext(_TEXTS_READ[place]),
    "profile_text": lambda place: gettext(_PROFILE_TEXTS[place]),
    "claims": claims_words,
    "dish_claims": lambda claims: " ".join(dict.fromkeys(map(claim_sentence, claims))),
    "reading": reading_words,
    "money": _money_words,
    "status": status_words,
    "event": event_words,
    "margin": _margin_words,
    "day": _day_words,
    "moment": _moment_words,
}


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """An entry of the audit trail in words."""

    at: datetime
    what: str
    by: str
    note: str


#: Event -> function that writes the entry's note from its params.
Notes = Mapping[str, Callable[[AuditEntry], str]]


def history_rows(
    entries: Iterable[AuditEntry], *, events: Mapping[str, str], notes: Notes, customer: str = ""
) -> list[HistoryRow]:
    """Write for each entry what happened, who did it, and its note; ``customer`` is the customer's name."""
    return [
        HistoryRow(
            at=entry.at,
            what=gettext(events[entry.event]) if entry.event in events else event_words(entry.event),
            by=actor_words(entry.by, customer),
            note=notes[entry.event](entry) if entry.params and entry.event in notes else entry.note,
        )
        for entry in entries
    ]


def actor_words(by: str, customer: str = "") -> str:
    """Write the name of an actor; whoever used a customer's private link counts as the customer."""
    if by.startswith(CUSTOMER):
        return gettext("%(name)s (customer)") % {"name": customer} if customer else gettext("customer")
    return gettext(_ACTORS[by]) if by in _ACTORS else by
