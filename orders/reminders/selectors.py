"""Which reminders go out and when, and what became of those before."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import F, Q

from catalog.kitchen.selectors import kitchen_zone
from catalog.records.versions import version_mark
from orders.invoices.models import Invoice
from orders.mail.addresses import can_be_written_to
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.reminders.dues import FINDS, Asked, Due, likenesses
from orders.reminders.kinds import KINDS
from orders.reminders.models import Reminder, ReminderRule, ReminderSettings, ReminderStop, ThingsOut
from orders.reminders.moments import LATE_AT_MOST, moment_of


@dataclass(frozen=True, slots=True)
class Planned:
    """A reminder that is ahead: when it goes out, and what keeps it from that."""

    due: Due
    moment: datetime
    stopped: bool = False

    @property
    def addressed(self) -> bool:
        """Whether the customer can be written to."""
        return can_be_written_to(self.due.email)

    @property
    def goes(self) -> bool:
        """Whether it will go out."""
        return self.addressed and not self.stopped


@dataclass(frozen=True, slots=True)
class Plan:
    """The owner's settings: whether reminders go out, since when, at which hour, and the rule of each kind.

    ``changed_at`` and ``changed_by`` say who saved them last.
    """

    on: bool
    since: datetime | None
    hour: int
    rules: Mapping[str, ReminderRule]
    changed_at: datetime | None = None
    changed_by: str = ""


def plan_now() -> Plan:
    """Return the owner's settings, those at first where nothing was saved; two queries."""
    row = settings_row()
    saved = {rule.kind: rule for rule in ReminderRule.objects.all()}
    rules = {code: saved.get(code) or ReminderRule(kind=code, days=kind.days) for code, kind in KINDS.items()}
    return Plan(row.on, row.since, row.hour, rules, row.changed_at, row.changed_by)


def settings_row() -> ReminderSettings:
    """Return the row of settings, or an unsaved one before the owner chose."""
    return ReminderSettings.objects.filter(pk=1).first() or ReminderSettings(pk=1)


def plan_version(plan: Plan) -> str:
    """Return a digest of the settings, without the texts."""
    rules = [(code, rule.on, rule.days) for code, rule in plan.rules.items()]
    return version_mark([plan.on, plan.hour, rules])


def text_version(rule: ReminderRule) -> str:
    """Return a digest of a kind's subject and text."""
    return version_mark([rule.kind, rule.subject, rule.text])


def things_version(row: ThingsOut) -> str:
    """Return a digest of what a customer has, and whether it is back."""
    return version_mark([row.things, row.back_at is not None])


def things_row(order: Order) -> ThingsOut:
    """Return what is noted of an order's things, an unsaved row before anything is; one query."""
    return ThingsOut.objects.filter(order=order).first() or ThingsOut(order=order)


def planned(*, at: datetime, number: str = "", plan: Plan | None = None) -> list[Planned]:
    """Return every reminder that is ahead or due by the rules, the next first; those of one quote's ``number`` alone.

    Where reminders are off it is what would go out if they were switched on now. What was asked for, held back or due
    before somebody wanted it is not among them.
    """
    plan = plan or plan_now()
    asked = Asked(at, kitchen_zone(), number=number)
    found = [
        one
        for code, rule in plan.rules.items()
        if rule.on
        for due in FINDS[code](asked)
        if (one := _planned(due, rule, plan, asked.zone, at)) is not None
    ]
    handled, stops = _handled(found), _stops(found)
    left = [
        Planned(one.due, one.moment, stopped=one.due.number in stops and ended is None)
        for one in found
        if one.due.key not in handled and ((ended := stops.get(one.due.number)) is None or one.moment > ended)
    ]
    return sorted(left, key=lambda one: (one.moment, one.due.number, one.due.kind.code))


def _planned(due: Due, rule: ReminderRule, plan: Plan, zone: ZoneInfo, at: datetime) -> Planned | None:
    moment = moment_of(due.day, days=rule.days, late=due.kind.late, hour=plan.hour, zone=zone)
    since = [due.since, rule.since or due.since, (plan.since if plan.on and plan.since else at)]
    return Planned(due, moment) if moment > max(since) else None


def _handled(found: Iterable[Planned]) -> frozenset[tuple[str, int, date]]:
    keys = {one.due.pk for one in found}
    rows = Reminder.objects.filter(document_pk__in=keys) if keys else Reminder.objects.none()
    return frozenset(rows.values_list("kind", "document_pk", "day"))


def _stops(found: Iterable[Planned]) -> dict[str, datetime | None]:
    """Return for each number about which reminders were stopped when that ended; None where it did not."""
    numbers = {one.due.number for one in found}
    return dict(ReminderStop.objects.filter(number__in=numbers).values_list("number", "ended_at"))


#: Most examples to choose from.
_EXAMPLES: Final = 8


def examples(kind: str, *, at: datetime) -> list[Due]:
    """Return what a text of a kind can be filled in with: what there is to remind of now, else what is like it."""
    asked = Asked(at, kitchen_zone())
    found = list(islice(FINDS[kind](asked), _EXAMPLES))
    return found or list(likenesses(KINDS[kind], asked, _EXAMPLES))


def example_of(listed: Sequence[Due], chosen: str) -> Due | None:
    """Return the example with a key that was chosen, or the first; None where there is none."""
    return next((due for due in listed if str(due.pk) == chosen), listed[0] if listed else None)


def ready(*, at: datetime) -> list[Planned]:
    """Return the reminders whose time has come and that go out or were missed; none while they are off."""
    plan = plan_now()
    return [one for one in planned(at=at, plan=plan) if one.goes and one.moment <= at] if plan.on else []


def missed(one: Planned, at: datetime) -> bool:
    """Return whether a reminder's time is so long ago that it does not go out by itself any more."""
    return one.moment < at - LATE_AT_MOST


def reminders_of(number: str) -> list[Reminder]:
    """Return what became of the reminders about one quote and its order, the latest first."""
    return list(Reminder.objects.filter(number=number).select_related("outbox"))


def reminders_lately(count: int = 50) -> list[Reminder]:
    """Return what became of the latest reminders, whatever they were about."""
    waiting = Q(outcome__in=[Reminder.Outcome.MISSED, Reminder.Outcome.UNSURE])
    return list(
        Reminder.objects.exclude(waiting).select_related("outbox").order_by(F("asked_at").desc(), "-pk")[:count]
    )


def reminders_held() -> list[Reminder]:
    """Return the reminders that the owner decides about: missed, or maybe sent before a backup was restored."""
    return list(Reminder.objects.filter(outcome__in=[Reminder.Outcome.MISSED, Reminder.Outcome.UNSURE]).order_by("pk"))


def is_stopped(number: str) -> bool:
    """Return whether the owner wants no reminders about a quote and its order."""
    return ReminderStop.objects.filter(number=number, ended_at=None).exists()


_DOCUMENTS: Final[Mapping[str, type[Quote] | type[Order] | type[Invoice]]] = {
    "quote": Quote,
    "order": Order,
    "invoice": Invoice,
}


def document_of(reminder: Reminder) -> Quote | Order | Invoice:
    """Return what a reminder is about."""
    return _DOCUMENTS[reminder.document]._default_manager.get(pk=reminder.document_pk)


def document_due(due: Due) -> Quote | Order | Invoice:
    """Return what there is to remind of."""
    return _DOCUMENTS[due.kind.document]._default_manager.get(pk=due.pk)
