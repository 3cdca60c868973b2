"""Reminders in words: what goes out next and when, what became of those before, and a text filled in."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.web import display
from orders.invoices.models import Invoice
from orders.mail.presenters import mails_shown
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.reminders.dues import Due
from orders.reminders.kinds import KINDS
from orders.reminders.models import Reminder, ReminderRule
from orders.reminders.selectors import Planned, is_stopped, missed, plan_now, planned
from orders.reminders.texts import TextProblem, filled
from orders.reminders.words import field_words, kind_words, usual_subject, usual_text, when_words


@dataclass(frozen=True, slots=True)
class PlannedShown:
    """A reminder that is ahead: when, what, about what, to whom, and what keeps it from going out."""

    kind: str
    pk: int
    moment: datetime
    what: str
    number: str
    title: str
    link: str
    customer: str
    about: str
    state: str
    goes: bool


@dataclass(frozen=True, slots=True)
class ReminderShown:
    """What became of a reminder: when, what, about what, and how it ended."""

    pk: int
    at: datetime
    what: str
    number: str
    link: str
    day: date
    state: str
    failed: bool


@dataclass(frozen=True, slots=True)
class WrittenReminder:
    """A reminder as the customer reads it."""

    subject: str
    text: str


def planned_shown(rows: Iterable[Planned], *, at: datetime) -> list[PlannedShown]:
    """Write the reminders that are ahead; those that could not go out in time are left out."""
    return [_planned(one, at) for one in rows if one.goes or one.moment > at]


def _planned(one: Planned, at: datetime) -> PlannedShown:
    due = one.due
    return PlannedShown(
        kind=due.kind.code,
        pk=due.pk,
        moment=one.moment,
        what=kind_words(due.kind.code),
        number=due.named,
        title=due.title,
        link=reverse(due.kind.document, args=[due.pk]),
        customer=due.customer,
        about=_about(due),
        state=_state_ahead(one, at),
        goes=one.goes and not missed(one, at),
    )


def _about(due: Due) -> str:
    facts = {
        "day": display.day(due.day),
        "amount": display.minor(due.amount_minor, due.currency) if due.currency else "",
        "things": display.listed(due.things),
    }
    if due.kind.code == "validity":
        return gettext("valid until %(day)s") % facts
    if due.kind.code == "final_count":
        return gettext("due %(day)s") % facts
    if due.kind.code == "things_out":
        return str(facts["things"])
    return gettext("%(amount)s, due %(day)s") % facts


def _state_ahead(one: Planned, at: datetime) -> str:
    if not one.addressed:
        return gettext("No e-mail address: it will not be sent.")
    if one.stopped:
        return gettext("Stopped.")
    if missed(one, at):
        return gettext("Its time has passed: you decide.")
    if one.moment <= at:
        return gettext("It goes out within minutes.")
    return gettext(_IF_STILL[one.due.kind.code])


#: What has to be so for it to go out.
_IF_STILL: Final = {
    "validity": marked("Unless it is answered by then."),
    "deposit_due": marked("Unless it is paid by then."),
    "deposit_late": marked("Unless it is paid by then."),
    "scheduled_due": marked("Unless it is paid by then."),
    "scheduled_late": marked("Unless it is paid by then."),
    "final_count": marked("Unless the order is canceled by then."),
    "payment_due": marked("Unless it is paid by then."),
    "payment_late": marked("Unless it is paid by then."),
    "things_out": marked("Unless it is back by then."),
}
#: Why a reminder was not sent.
_OVER: Final = {
    "validity": marked("Not sent: the quote was answered, withdrawn, replaced or is being changed."),
    "deposit_due": marked("Not sent: it was paid, is late by now, or the order was invoiced or canceled."),
    "deposit_late": marked("Not sent: it was paid, or the order was invoiced or canceled."),
    "scheduled_due": marked("Not sent: it was paid, is late by now, or the order was invoiced or canceled."),
    "scheduled_late": marked("Not sent: it was paid, or the order was invoiced or canceled."),
    "final_count": marked("Not sent: the day has passed, or the order was canceled."),
    "payment_due": marked("Not sent: it was paid, credited, or is late by now."),
    "payment_late": marked("Not sent: it was paid or credited."),
    "things_out": marked("Not sent: it was back."),
}
_WHY_NOT: Final = {
    "other_day": marked("Not sent: it was due on another day by then."),
    "off": marked("Not sent: this reminder was switched off."),
    "stopped": marked("Not sent: reminders were stopped here."),
}
_HELD: Final = {
    Reminder.Outcome.MISSED: marked("Not sent: the service was not running at that time."),
    Reminder.Outcome.UNSURE: marked(
        "Not sent: the kitchen was restored from a backup, and it may have been sent before that."
    ),
}


def reminders_shown(rows: Sequence[Reminder]) -> list[ReminderShown]:
    """Write what became of some reminders."""
    links = _links(rows)
    return [_shown(row, links.get((row.document, row.document_pk), ("", ""))) for row in rows]


def _links(rows: Iterable[Reminder]) -> dict[tuple[str, int], tuple[str, str]]:
    """Return for what reminders are about its number and its address; three queries."""
    keys: dict[str, list[int]] = {"quote": [], "order": [], "invoice": []}
    for row in rows:
        keys[row.document].append(row.document_pk)
    models: dict[str, type[Quote] | type[Order] | type[Invoice]] = {"quote": Quote, "order": Order, "invoice": Invoice}
    return {
        (name, pk): (number or "", reverse(name, args=[pk]))
        for name, model in models.items()
        if keys[name]
        for pk, number in model._default_manager.filter(pk__in=keys[name]).values_list("pk", "number")
    }


def _shown(row: Reminder, about: tuple[str, str]) -> ReminderShown:
    state, failed = _state(row)
    number, link = about
    at = row.done_at or row.asked_at
    return ReminderShown(row.pk, at, kind_words(row.kind), number, link, row.day, state, failed)


def _state(row: Reminder) -> tuple[str, bool]:
    if row.outcome == Reminder.Outcome.SKIPPED:
        return gettext("Left out."), False
    if row.outcome == Reminder.Outcome.NOT_NEEDED:
        return gettext(_OVER[row.kind] if row.why == "over" else _WHY_NOT[row.why]), False
    if row.outcome in _HELD:
        return gettext(_HELD[Reminder.Outcome(row.outcome)]), True
    if row.outbox is None:
        return gettext("Sent."), False
    (mail,) = mails_shown([row.outbox])
    return mail.state, row.outbox.status == Outbox.Status.FAILED


def written(due: Due, rule: ReminderRule, kitchen: Kitchen) -> WrittenReminder:
    """Fill in a kind's subject and text, the owner's or the usual ones in the language in use."""
    values = {
        "customer": due.customer,
        "event": due.title,
        "event_day": display.day(due.window_start),
        "number": due.named,
        "day": display.day(due.day),
        "kitchen": kitchen.name,
        "amount": display.minor(due.amount_minor, due.currency) if due.currency else "",
        "things": display.listed(due.things),
    }
    return WrittenReminder(
        filled(rule.subject or usual_subject(rule.kind), values), filled(rule.text or usual_text(rule.kind), values)
    )


def problem_sentence(problem: TextProblem, kind: str) -> str:
    """Write what is wrong with a text, and what may stand there."""
    fields = display.joined([f"{{{name}}}" for name in KINDS[kind].fields])
    if problem.code == "brace":
        wrong = gettext("A brace is missing near “%(near)s”. Write a field as in {customer}. Fields: %(fields)s.")
        return wrong % {"near": problem.near, "fields": fields}
    wrong = gettext("There is no field {%(name)s} here. Fields: %(fields)s.")
    return wrong % {"name": problem.near, "fields": fields}


def fields_shown(kind: str) -> list[tuple[str, str]]:
    """Return the fields of a kind's text, each with what stands in its place."""
    return [(f"{{{name}}}", field_words(name)) for name in KINDS[kind].fields]


def kinds_listed() -> list[tuple[str, str, str]]:
    """Return the kinds of reminder: code, name, and what their days are counted from."""
    return [(code, kind_words(code), when_words(code)) for code in KINDS]


def reminders_line(quote: Quote, *, at: datetime) -> str:
    """Write which reminder goes out next about a quote or its order, with the way to all of them."""
    address = reverse("quote-reminders", args=[quote.pk])
    return format_html('{} <a href="{}">{}</a>', _next_words(quote.number, at), address, gettext("Reminders"))


def _next_words(number: str, at: datetime) -> str:
    plan = plan_now()
    if not plan.on:
        return gettext("Reminders are off.")
    if is_stopped(number):
        return gettext("Reminders are stopped here.")
    rows = planned(at=at, number=number, plan=plan)
    ahead = next((one for one in rows if one.goes and not missed(one, at)), None)
    if ahead is None:
        return gettext("No reminder is planned.")
    facts = {"what": kind_words(ahead.due.kind.code), "moment": display.moment(ahead.moment)}
    return gettext("Next reminder: %(what)s, %(moment)s.") % facts
