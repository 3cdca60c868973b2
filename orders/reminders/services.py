"""Reminders: switched on and off, asked for when their time comes, and checked once more before each is sent."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from django.db import transaction

from catalog.records.errors import Overtaken
from catalog.records.reasons import Reason
from catalog.records.versions import locked
from catalog.upkeep.selectors import Restore, last_restore
from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.quotes.selectors import quote_locked
from orders.records.actors import MAIL
from orders.records.errors import ChangedMeanwhile
from orders.records.transitions import audit
from orders.reminders.claims import check_text
from orders.reminders.dues import Due, due_of
from orders.reminders.kinds import KINDS
from orders.reminders.mails import reminder_mail_ask
from orders.reminders.models import Reminder, ReminderRule, ReminderSettings, ReminderStop, ThingsOut
from orders.reminders.selectors import (
    Planned,
    document_of,
    is_stopped,
    missed,
    plan_now,
    plan_version,
    planned,
    ready,
    text_version,
    things_version,
)

Outcome = Reminder.Outcome
#: What the service asked for shortly before a backup may not be in it: so long before counts as after it.
_ROUNDS: Final = timedelta(hours=1)
_SETTINGS: Final = Reason("the_reminders")


@transaction.atomic(durable=True)
def reminders_save(
    *, on: bool, hour: int, rules: Mapping[str, tuple[bool, int]], version: str = "", by: str, at: datetime
) -> None:
    """Save whether reminders go out, at which hour, and for each kind whether and how many days before or after.

    What would have been due before now by what changed does not go out.

    Raises Overtaken.
    """
    row, _ = ReminderSettings.objects.get_or_create(pk=1)
    row = locked(ReminderSettings, 1) or row
    before = plan_now()
    if version and plan_version(before) != version:
        raise Overtaken(what=_SETTINGS)
    if (on and not row.on) or hour != row.hour:
        row.since = at
    row.on, row.hour, row.changed_at, row.changed_by = on, hour, at, by
    row.save()
    for kind, (wanted, days) in rules.items():
        rule = before.rules[kind]
        if (wanted and not rule.on) or days != rule.days:
            rule.since = at
        rule.on, rule.days = wanted, days
        rule.save()


@transaction.atomic(durable=True)
def reminder_text_save(*, kind: str, subject: str, text: str, read: Sequence[str] = (), version: str = "") -> None:
    """Save a kind's subject and text; empty is the usual one.

    Raises
    ------
    WordsUnproven
        If they claim what the kitchen's ingredients do not bear out.
    TextUnread
        If a sentence may speak of what guests can eat, and its mark is not ``read``.
    Overtaken
        If somebody saved them meanwhile.
    """
    ReminderRule.objects.get_or_create(kind=kind, defaults={"days": KINDS[kind].days})
    rule = ReminderRule.objects.select_for_update().get(kind=kind)
    if version and text_version(rule) != version:
        raise Overtaken(what=_SETTINGS)
    for place, words in (("subject", subject), ("text", text)):
        check_text(words, place=place, read=read)
    rule.subject, rule.text = subject, text
    rule.save()


@transaction.atomic(durable=True)
def reminders_stop(*, number: str, by: str, at: datetime) -> None:
    """Stop the reminders about a quote, its revisions and its order."""
    ReminderStop.objects.update_or_create(number=number, defaults={"at": at, "by": by, "ended_at": None})


@transaction.atomic(durable=True)
def reminders_resume(*, number: str, at: datetime) -> None:
    """Let reminders about a quote and its order go out again; what was due meanwhile does not."""
    ReminderStop.objects.filter(number=number, ended_at=None).update(ended_at=at)


@transaction.atomic(durable=True)
def things_save(
    *, order_id: int, things: str, back: bool, read: Sequence[str] = (), version: str = "", by: str, at: datetime
) -> ThingsOut:
    """Note what a customer has of the kitchen, and whether all of it is back.

    Raises
    ------
    Order.DoesNotExist
        If there is none.
    WordsUnproven
        If it claims what the kitchen's ingredients do not bear out.
    TextUnread
        If it may speak of what guests can eat, and its mark is not ``read``.
    Overtaken
        If somebody saved it meanwhile.
    """
    order = Order.objects.select_for_update().get(pk=order_id)
    row, _ = ThingsOut.objects.get_or_create(order=order)
    if version and things_version(row) != version:
        raise Overtaken(what=_SETTINGS)
    check_text(things, place="things", read=read)
    row.things = things
    if back != (row.back_at is not None):
        row.back_at, row.back_by = (at, by) if back else (None, "")
    row.save()
    return row


def reminders_round(*, at: datetime) -> int:
    """Ask for the mail of every reminder whose time has come, each in a transaction of its own; return how many.

    Periodic work. Of two rounds at once one asks for each: a reminder is one row for its kind, document and day.
    """
    restore = last_restore()
    return sum(_ask(one, restore, at) for one in ready(at=at))


@transaction.atomic(durable=True)
def _ask(one: Planned, restore: Restore | None, at: datetime) -> bool:
    _lock(one.due.kind.document, one.due.pk)
    due = due_of(one.due.kind.code, one.due.pk, at=at, day=one.due.day)
    if due is None or due.day != one.due.day or is_stopped(due.number):
        return False
    row, new = _row(due, _outcome(one, restore, at), at=at)
    if new and row.outcome == Outcome.ASKED:
        row.outbox = reminder_mail_ask(due, reminder_id=row.pk, at=at)
        row.save(update_fields=["outbox"])
    return new and row.outcome == Outcome.ASKED


def _row(due: Due, outcome: str, *, at: datetime, by: str = "") -> tuple[Reminder, bool]:
    """Return the row of a reminder and whether it is new; of two that add it at once one does."""
    return Reminder.objects.get_or_create(
        kind=due.kind.code,
        document=due.kind.document,
        document_pk=due.pk,
        day=due.day,
        defaults={"number": due.number, "outcome": outcome, "asked_at": at, "by": by},
    )


def _outcome(one: Planned, restore: Restore | None, at: datetime) -> str:
    if restore is not None and restore.made_at - _ROUNDS < one.moment <= restore.at:
        return Outcome.UNSURE
    return Outcome.MISSED if missed(one, at) else Outcome.ASKED


def _lock(document: str, pk: int) -> None:
    """Lock what a reminder is about, as whoever answers, pays, cancels or credits it does."""
    if document == "quote":
        quote_locked(pk)
        return
    order = pk if document == "order" else Invoice.objects.values_list("order_id", flat=True).get(pk=pk)
    list(Order.objects.select_for_update().filter(pk=order).values_list("pk"))


@transaction.atomic(durable=True)
def reminder_check(*, reminder_id: int, outbox_id: int, at: datetime) -> Due | None:
    """Return what a reminder is about if it still has to be sent at this moment, and write so; None if not.

    It is compared with what is saved now, with the document locked: what was paid, answered, canceled or given another
    day is not reminded of. What was asked for before a backup was restored may have gone out since, and waits for the
    owner.
    """
    row = Reminder.objects.get(pk=reminder_id)
    _lock(row.document, row.document_pk)
    row = Reminder.objects.select_for_update().get(pk=reminder_id)
    if row.outbox_id != outbox_id or row.outcome not in (Outcome.ASKED, Outcome.SENT):
        return None
    due = due_of(row.kind, row.document_pk, at=at, day=row.day)
    restore = last_restore()
    if restore is not None and row.asked_at <= restore.at < at:
        row.outcome, row.why = Outcome.UNSURE, ""
    elif why := _why_not(row, due):
        row.outcome, row.why = Outcome.NOT_NEEDED, why
    else:
        row.outcome, row.why = Outcome.SENT, ""
    row.done_at = at
    row.save(update_fields=["outcome", "why", "done_at"])
    if row.outcome != Outcome.SENT:
        audit(document_of(row), "reminder_not_needed", by=MAIL, at=at, params={"reminder": row.kind})
    return due if row.outcome == Outcome.SENT else None


def _why_not(row: Reminder, due: Due | None) -> str:
    """Return why a reminder is not sent any more, a code; empty where it is. What the owner sends goes out anyway."""
    if due is None:
        return "over"
    if due.day != row.day:
        return "other_day"
    if row.by:
        return ""
    plan = plan_now()
    if not plan.on or not plan.rules[row.kind].on:
        return "off"
    return "stopped" if is_stopped(row.number) else ""


@transaction.atomic(durable=True)
def reminder_send(*, reminder_id: int, by: str, at: datetime) -> bool:
    """Send a reminder that was held back, if it is still needed; return whether it goes out.

    Raises
    ------
    Reminder.DoesNotExist
        If there is none.
    ChangedMeanwhile
        If somebody decided about it meanwhile.
    """
    row = _held(reminder_id)
    due = due_of(row.kind, row.document_pk, at=at, day=row.day)
    row.by, row.asked_at = by, at
    if due is None or due.day != row.day:
        row.outcome, row.why, row.done_at = Outcome.NOT_NEEDED, "over" if due is None else "other_day", at
    else:
        row.outcome, row.outbox = Outcome.ASKED, reminder_mail_ask(due, reminder_id=row.pk, at=at)
    row.save()
    return row.outcome == Outcome.ASKED


@transaction.atomic(durable=True)
def reminder_drop(*, reminder_id: int, by: str, at: datetime) -> None:
    """Do not send a reminder that was held back.

    Raises
    ------
    Reminder.DoesNotExist
        If there is none.
    ChangedMeanwhile
        If somebody decided about it meanwhile.
    """
    row = _held(reminder_id)
    row.outcome, row.by, row.done_at = Outcome.SKIPPED, by, at
    row.save(update_fields=["outcome", "by", "done_at"])


def _held(reminder_id: int) -> Reminder:
    row = Reminder.objects.get(pk=reminder_id)
    _lock(row.document, row.document_pk)
    row = Reminder.objects.select_for_update().get(pk=reminder_id)
    if row.outcome not in (Outcome.MISSED, Outcome.UNSURE):
        raise ChangedMeanwhile(what=str(row))
    return row


@transaction.atomic(durable=True)
def reminder_skip(*, kind: str, pk: int, by: str, at: datetime) -> bool:
    """Leave out one reminder that is ahead; return whether there was one.

    Raises Quote.DoesNotExist or Invoice.DoesNotExist.
    """
    _lock(KINDS[kind].document, pk)
    ahead = (one.due for one in planned(at=at) if one.due.kind.code == kind and one.due.pk == pk)
    due = next(ahead, None)
    if due is None:
        return False
    _, new = _row(due, Outcome.SKIPPED, at=at, by=by)
    return new
