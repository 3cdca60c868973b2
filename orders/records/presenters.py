"""Refusals of quotes, orders and invoices in sentences; statuses and the audit trail in words."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from djmoney.money import Money

from catalog.records import presenters
from catalog.records.presenters import Sentences, Writers, claims_words
from catalog.records.reasons import Reason
from catalog.web import display
from orders.records.actors import CLOCK, COMMAND, CUSTOMER, MAIL
from orders.records.errors import OrderError
from orders.records.models import AuditEntry
from orders.records.states import InvoiceStatus, OrderStatus, QuoteStatus
from orders.records.window_presenters import WINDOW_SENTENCES, WINDOW_WRITERS

#: Code of a refusal, or of a reason in one of its parameters -> its words.
SENTENCES: Final[Sentences] = {
    "order": "That cannot be done.",
    "transition_not_allowed": "{what} is {status:status}: it is too late, or too early, to {event:event}.",
    "changed_meanwhile": "{what} changed meanwhile. Look at it again before you go on.",
    "totals_differ": "The rows of {what} do not add up to its total, so it was not sent.",
    "cannot_render": "The PDF of {what} could not be made: {why}",
    "no_address": "{who} has no e-mail address the mail can go to. Write one on the customer's page first.",
    # Inquiries.
    "inquiry_closed": "{what} is closed. Open it again before you change it.",
    "inquiry_has_quote_out": "{quote} waits for an answer. Withdraw it before you close the enquiry.",
    # A draft, and sending it.
    "not_a_draft": "{what} is {status:status}: only a draft can be changed. Make a revision of it instead.",
    "override_needs_reason": "Write down why this quote may go below the floor margin.",
    "empty_table": "{what} has nothing on the table yet. Add a product before you send it.",
    "below_floor": (
        "{what} leaves a margin of {margin:margin} on the goods, below the floor of {floor:margin}. "
        "Raise a price or take back the discount, or record why it may go below."
    ),
    "allergens_unchecked": (
        "{products:names}: not every allergen is checked. Answer for the ingredients, or tick that it goes out all the "
        "same."
    ),
    "words_unproven": (
        "What your profile says about traces goes out with the quote. {claims:claims} Take these words out and write "
        "what you do handle, or answer for each of them by its label."
    ),
    **WINDOW_SENTENCES,
    "window_too_early": "{reason} {instead}",
    "never_cold": "{reason} {instead}",
    "out_too_long": "{reason} {instead}",
    "cooling_rule_broken": (
        "{products:names}: not cold in the time the rule asks for. Record what is measured instead, and by whom, "
        "before {what} is sent or approved."
    ),
    "never_cold_by_now": (
        "{products:names}: never cold where it chills, as the catalog is now. Set colder air there, or change the "
        "steps, before {what} is approved: a record of what is measured does not help."
    ),
    "measure_missing": "Write what is measured instead for {product}: what, when, and what is done if it is too warm.",
    "measurer_missing": "Write who measures {product}.",
    "quote_over": "{what} is {status:status}, so nothing is measured for it.",
    "validity_passed": "{what} would be valid until a day that has passed. Set a later day before you send it.",
    "event_passed": "The hand-over of {what} is in the past. Correct the day on the enquiry before you send it.",
    "price_changed": (
        "The total is {now:money} now and was {seen:money} when you looked. Look at it again before you send it."
    ),
    "already_approved": "{what} was approved and is an order. Begin another quote for what comes on top.",
    "another_draft": "{what} is a draft of the same quote already. Change that one, or give it up first.",
    "quote_erased": "The personal data of {what} was erased, so it cannot be changed. Write a new enquiry instead.",
    "still_open": "Not finished: {what}. Personal data is erased when nothing is open and no money is owed.",
    # The customer's side.
    "link_needs_sent_quote": "{what} was never sent, so there is nothing to link to. Send it first.",
    "pdf_not_stored": "The PDF of {what} is still being made, which takes a few seconds. Try again then.",
    "quote_replaced": "The kitchen changed this quote on {day:day}. Here is the new one: nothing was approved yet.",
    "quote_expired": (
        "This quote was valid until {day:moment}, so it can no longer be approved. Ask the kitchen for a new one."
    ),
    "quote_withdrawn": (
        "The kitchen took this quote back on {day:day}, so it can no longer be approved. Write to them for another."
    ),
    "quote_declined": (
        "This quote was declined on {day:day}, so it can no longer be approved. Ask the kitchen for a new one."
    ),
    "content_differs": (
        "What you were shown is not what is on offer now. Look at the quote again before you approve it."
    ),
    "allergens_changed": (
        "{products:names}: the allergens changed since the quote was sent. Send a revision, so that the customer reads "
        "them before anything is approved."
    ),
    "kitchen_must_tell": (
        "Nothing was approved: the allergens of part of this changed since the quote was sent, and the kitchen has to "
        "tell you first. Call them or write to them."
    ),
    "kitchen_must_look": (
        "Nothing was approved yet: the kitchen has to look at this quote first. We have sent them a note that you want "
        "to approve it; your quote stays as it is."
    ),
    "not_judged_now": (
        "{what} cannot be approved now: the catalog has an error in what it consists of, so nobody can say whether it "
        "is cold in time and what it contains. Open the catalog, fix what stands there, then record the approval."
    ),
    "kitchen_must_check": (
        "Nothing was approved: the kitchen first has to settle how part of this is kept cold. Call them or write to "
        "them; your quote stays as it is."
    ),
    "name_missing": "Write your name, as you would sign.",
    "reason_missing": "Write down how the yes was given: by phone to whom, or on which paper.",
    "message_missing": "Write what should be different.",
    "too_many_messages": (
        "The kitchen got {count} messages about this quote within a day. Ring them, or write again tomorrow."
    ),
    # Orders.
    "not_invoiced": "{order} has no invoice yet. Issue it, then close the order.",
    "not_paid": "{order} is not paid yet: {open:money} is open. Record the payment, then close the order.",
    "credit_left": "{customer} has {amount:money} to their credit. Refund it, then close the order.",
    "decide_the_money": ("{amount:money} came in for {order}. Say what happens with it before you cancel the order."),
    # What is measured while an order cools.
    "order_canceled": "{order} is canceled, so nothing is recorded for it.",
    "reading_missing": "Enter at least one reading: the temperature of the middle, and when it was read.",
    "reading_in_future": "{at:moment} is in the future. Correct the day or the time.",
    "reading_before_start": "A reading at {at:moment} is before cooling began, {start:moment}. Correct one of the two.",
    "start_missing": "Enter when cooling began: the rule counts its hours from then ({rule}).",
    "reading_unlikely": (
        "{celsius:reading} is frozen. Check the reading and its unit, or record it as not kept and say what happened."
    ),
    "reading_too_soon": (
        "The last reading, at {at:moment}, is less than {minutes} minutes after cooling began: it does not show that "
        "it got cold in time. Correct the start or the time, or add a later reading."
    ),
    "warmer_again": (
        "{celsius:reading} at {at:moment} is warmer than the reading before. Check the readings, or record that the "
        "rule was not kept."
    ),
    "was_not_kept": (
        "{items:names}: the cooling rule was recorded as not kept. Record the new measurement, or write in the note "
        "what goes out instead."
    ),
    "still_too_warm": (
        "The last reading of {item} is {celsius:reading}, warmer than {limit_c:temperature}. Add a later reading, or "
        "record that it still cools or that the rule was not kept."
    ),
    "not_shown_in_time": (
        "No reading shows {item} at {limit_c:temperature} or colder by {by:moment}. Add that reading, or record that "
        "the rule was not kept."
    ),
    "action_missing": "Choose what was done with {item}: reheated and cooled once more, or discarded.",
    "reheated_before": "{item} was reheated and cooled once more already. Discard it.",
    # Invoices, credit notes, payments, exports.
    "already_invoiced": (
        "{order} is invoiced with {invoice}. Issue a credit note for that first if it has to be replaced."
    ),
    "canceled_order": "{order} is cancelled and its money is not kept, so there is nothing to invoice.",
    "does_not_add_up": "The rows of {what} do not add up to its totals, so nothing was issued.",
    "nothing_to_credit": (
        "Nothing is credited: {invoice} has {left:money} left to credit, and no amount above zero was given."
    ),
    "too_much_credited": "At most {most:money} is left to credit of {what} on {invoice}.",
    "not_an_issued_invoice": (
        "{invoice} is not an issued invoice, so there is nothing to credit. A draft can be dropped."
    ),
    "too_much_back": ("At most {most:money} can go back: that is what {customer} has to their credit on {order}."),
    "recorded_before": (
        "This form has recorded {amount:money} before. For other money open “Record money” afresh; "
        "a mistake is taken back on the order."
    ),
    "already_reversed": "That payment was taken back before. Record a new one if money came in again.",
    "nothing_to_export": (
        "Nothing to export: every document issued from {first:day} to {last:day} is in an export already, "
        "or none was issued."
    ),
    # What a refusal is about.
    "the_quote": "Quote {number}",
    "quote": "quote {number}",
    "exports": "The list of exports",
    "taxed_as": "what is taxed as {tax}",
    # Why a PDF was not made.
    "no_pango": "the system lacks Pango, which draws the letters.",
    "may_not_load": "it asks for a file that documents may not load.",
}

_STATUSES: Final[Mapping[str, str]] = {
    str(code): str(label) for statuses in (QuoteStatus, OrderStatus, InvoiceStatus) for code, label in statuses.choices
}


def sentence(error: OrderError) -> str:
    """Write what was refused, and what works instead."""
    return reason_sentence(error.reason)


def reason_sentence(reason: Reason) -> str:
    """Write a reason with the sentence of its code."""
    return presenters.reason_sentence(reason, SENTENCES, WRITERS)


def status_words(status: str) -> str:
    """Write a document's status."""
    return _STATUSES.get(status, status)


def event_words(event: str) -> str:
    """Write an event as an infinitive, as in "too late to pay part"."""
    return {"discard": "drop"}.get(event, event.replace("_", " "))


def _money_words(amount: Money | str) -> str:
    return amount if isinstance(amount, str) else display.minor(amount)


def _margin_words(margin: Any) -> str:
    if isinstance(margin, str):
        return margin
    return "nothing" if margin is None else display.percent(margin)


def _day_words(day: Any) -> str:
    return day if isinstance(day, str) else display.day(day)


def _moment_words(moment: Any) -> str:
    return moment if isinstance(moment, str) else display.moment(moment)


def reading_words(celsius: Any) -> str:
    """Write a measured temperature to a tenth of a degree, so that what is too warm never reads as cold enough."""
    return celsius if isinstance(celsius, str) else display.temperature(celsius, 1)


WRITERS: Final[Writers] = {
    **WINDOW_WRITERS,
    "claims": claims_words,
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


def history_rows(entries: Iterable[AuditEntry], *, events: Mapping[str, str], notes: Notes) -> list[HistoryRow]:
    """Write for each entry what happened, who did it, and its note."""
    return [
        HistoryRow(
            at=entry.at,
            what=events.get(entry.event, event_words(entry.event)),
            by=actor_words(entry.by),
            note=notes[entry.event](entry) if entry.params and entry.event in notes else entry.note,
        )
        for entry in entries
    ]


def actor_words(by: str) -> str:
    """Write the name of an actor; a customer by the link used."""
    if by.startswith(CUSTOMER):
        link = by.removeprefix(CUSTOMER).removeprefix(":")
        return f"customer, link {link}" if link else "customer"
    return {CLOCK: "the clock", MAIL: "post", COMMAND: "the command line"}.get(by, by)
