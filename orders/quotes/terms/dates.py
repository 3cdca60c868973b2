"""The dates of a quote's terms, computed together: validity, final count, deposit and balance.

Plain Python: days of the kitchen's calendar, and moments in its time zone. No rows, no clock, no words. What is due
after an approval or an invoice is computed from that day; what is due before the event from its day, and before the
work on it begins, where it is known when that is. A day counts to its end, so the last day for what has to come before
the work is the day before it, or today where that is today.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Final

#: Days that a customer is left to decide in where the usual final count is nearer; our own choice, no source.
LEAST_TO_DECIDE: Final = 3
A_DAY: Final = timedelta(days=1)


class Term(StrEnum):
    """What has a date of its own before the event."""

    VALIDITY = "valid_until"
    FINAL_COUNT = "final_count_on"
    DEPOSIT = "deposit_days"
    PAYMENT = "payments"


@dataclass(frozen=True, slots=True)
class Usual:
    """The kitchen's usual terms: days from sending, days before the event, days from approval [days].

    From ``full_charge_days`` before the event on, whoever cancels owes the whole price; None where no table says so.
    ``payments`` are due so many days before the event, what is due first first.
    """

    valid_days: int
    final_count_days: int
    deposit_days: int
    full_charge_days: int | None = None
    payments: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Stated:
    """What the owner stated for this quote instead of the usual; ``final_count_on`` counts where ``count_stated``."""

    valid_until: datetime | None = None
    count_stated: bool = False
    final_count_on: date | None = None


@dataclass(frozen=True, slots=True)
class Ahead:
    """What lies ahead: now, the start of the event's window, the latest start of work where it is known.

    All three are moments in the kitchen's time zone.
    """

    now: datetime
    event: datetime
    begins: datetime | None = None

    @property
    def today(self) -> date:
        """The day it is where the kitchen is."""
        return self.now.date()

    @property
    def event_day(self) -> date:
        """The day of the event where the kitchen is."""
        return self.event.date()

    @property
    def days(self) -> int:
        """How many days the event is away; 0 is today [days]."""
        return (self.event_day - self.today).days

    @property
    def limit(self) -> datetime:
        """When the work begins at the latest, or the event where that is not known."""
        return self.event if self.begins is None else min(self.begins, self.event, key=datetime.timestamp)

    @property
    def last(self) -> date:
        """The last day for what has to come before the work: the day before it, and never before today."""
        return max(self.today, self.limit.date() - A_DAY)

    def over(self, moment: datetime) -> bool:
        """Return whether a moment is over, also within the hour that clocks show twice."""
        return moment.timestamp() <= self.now.timestamp()


@dataclass(frozen=True, slots=True)
class Shortened:
    """A usual date that is another one for this event: its day, and how many days stand instead of the usual.

    ``days`` and ``usual`` are counted as the kitchen's profile does [days]. It is ``later`` where there is less time
    than the kitchen wants, and not where the work begins before the usual day. ``charged_from`` is the day from which
    canceling costs the whole price, where that is why a deposit is due earlier; its ``day`` is today then where it is
    due on the day of the approval, whenever that is.
    """

    term: Term
    day: date
    days: int
    usual: int
    later: bool = False
    charged_from: date | None = None


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two dates that cannot both hold, of which the owner stated the first: ``code`` says which, ``other`` is the
    second's. ``least`` to ``most`` are the days that would fit.
    """

    code: str
    term: Term
    day: date
    other: date
    least: date
    most: date


@dataclass(frozen=True, slots=True)
class TermsDates:
    """The dates of a quote as it would be sent now.

    ``deposit_latest_on`` is None where the days after approval end before the work begins, whenever it is approved.
    ``payments_on`` are the days of the payments before the event.
    """

    valid_until: datetime
    final_count_on: date | None
    deposit_latest_on: date | None
    ahead: Ahead
    shortened: tuple[Shortened, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
    payments_on: tuple[date, ...] = ()


def compute_dates(ahead: Ahead, usual: Usual, stated: Stated = Stated()) -> TermsDates:
    """Compute the dates of a quote that is sent now; ``usual`` has its own days of the deposit."""
    valid_on = stated.valid_until.date() if stated.valid_until else None
    count_on = stated.final_count_on if stated.count_stated else _usual_count(ahead, usual, valid_on)
    if valid_on is None:
        valid_on = _usual_validity(ahead, usual, count_on)
    due, last = valid_on + timedelta(days=usual.deposit_days), _last_for_deposit(ahead, usual, valid_on)
    over = ahead.over(ahead.event)
    return TermsDates(
        valid_until=_end(valid_on, ahead, stated.valid_until),
        final_count_on=count_on,
        deposit_latest_on=last if usual.deposit_days and due > last else None,
        ahead=ahead,
        shortened=() if over else tuple(_shortened(ahead, usual, stated, valid_on, count_on)),
        contradictions=() if over else tuple(_contradictions(ahead, stated, valid_on, count_on)),
        payments_on=tuple(payment_on(ahead, days) for days in usual.payments),
    )


def payment_on(ahead: Ahead, days: int) -> date:
    """Return when a payment so many days before the event is due: before the work on it begins, and never before today.

    Where its day is over it is due today: on the day of the approval, whenever that is.
    """
    return max(ahead.today, min(ahead.event_day - timedelta(days=days), ahead.last))


def _usual_count(ahead: Ahead, usual: Usual, valid_on: date | None) -> date:
    """Return the usual day, but not before the customer could decide, and not after the last day before the work."""
    decide = ahead.today + timedelta(days=min(usual.valid_days, LEAST_TO_DECIDE))
    usually = ahead.event_day - timedelta(days=usual.final_count_days)
    return min(max(usually, valid_on or decide), ahead.last)


def _usual_validity(ahead: Ahead, usual: Usual, count_on: date | None) -> date:
    """Return the usual last day, but none after the final count or the last day before the work."""
    last = ahead.last if count_on is None else min(ahead.last, max(count_on, ahead.today))
    return min(ahead.today + timedelta(days=usual.valid_days), last)


def _charged_from(ahead: Ahead, usual: Usual) -> date | None:
    """Return from which day on canceling costs the whole price."""
    return None if usual.full_charge_days is None else ahead.event_day - timedelta(days=usual.full_charge_days)


def _last_for_deposit(ahead: Ahead, usual: Usual, valid_on: date) -> date:
    """Return the last day of a deposit: before the work, and before canceling costs the whole price.

    Where that begins while the quote can still be approved it is today: due on the day of the approval. It is due at
    the latest with the first payment after it.
    """
    first = min((payment_on(ahead, days) for days in usual.payments), default=ahead.last)
    return min(first, _last_before_charge(ahead, usual, valid_on))


def _last_before_charge(ahead: Ahead, usual: Usual, valid_on: date) -> date:
    charged = _charged_from(ahead, usual)
    if charged is None or charged > ahead.last:
        return ahead.last
    return charged - A_DAY if charged > valid_on else ahead.today


def _end(day: date, ahead: Ahead, stated: datetime | None) -> datetime:
    """Return the end of a day of validity, or when the work begins where that is on this day and not over."""
    end = stated or datetime.combine(day, time(23, 59), tzinfo=ahead.now.tzinfo)
    on_the_day = day == ahead.limit.date() == ahead.last and not ahead.over(ahead.limit)
    return min(end, ahead.limit, key=datetime.timestamp) if on_the_day else end


def _shortened(
    ahead: Ahead, usual: Usual, stated: Stated, valid_on: date, count_on: date | None
) -> Iterator[Shortened]:
    if count_on is not None and not stated.count_stated:
        days = (ahead.event_day - count_on).days
        if days != usual.final_count_days:
            yield Shortened(Term.FINAL_COUNT, count_on, days, usual.final_count_days, days < usual.final_count_days)
    if stated.valid_until is None and (days := (valid_on - ahead.today).days) < usual.valid_days:
        yield Shortened(Term.VALIDITY, valid_on, days, usual.valid_days)
    last = _last_for_deposit(ahead, usual, valid_on)
    if usual.deposit_days and valid_on + timedelta(days=usual.deposit_days) > last:
        before_charge = _last_before_charge(ahead, usual, valid_on)
        charged = _charged_from(ahead, usual) if last == before_charge != ahead.last else None
        yield Shortened(Term.DEPOSIT, last, (last - ahead.today).days, usual.deposit_days, charged_from=charged)
    for days in usual.payments:
        if (day := payment_on(ahead, days)) != ahead.event_day - timedelta(days=days):
            yield Shortened(Term.PAYMENT, day, (ahead.event_day - day).days, days)


def _contradictions(ahead: Ahead, stated: Stated, valid_on: date, count_on: date | None) -> Iterator[Contradiction]:
    """Find what the owner stated and cannot hold; that a validity is over is for whoever sends the quote to say."""
    today, last, limit = ahead.today, ahead.last, ahead.limit.date()
    before = "event" if ahead.limit == ahead.event else "work"
    if stated.valid_until is not None and today <= valid_on:
        if valid_on > last:
            yield Contradiction(f"valid_after_{before}", Term.VALIDITY, valid_on, limit, today, last)
        elif count_on is not None and today <= count_on < valid_on:
            yield Contradiction("valid_after_count", Term.VALIDITY, valid_on, count_on, today, count_on)
    if stated.count_stated and count_on is not None:
        if count_on < today:
            yield Contradiction("count_passed", Term.FINAL_COUNT, count_on, today, today, last)
        elif count_on > last:
            yield Contradiction(f"count_after_{before}", Term.FINAL_COUNT, count_on, limit, today, last)


def days_apply(*, sent_on: date, days: int, latest_on: date | None) -> bool:
    """Return whether so many days after an approval can end before a last day, if approved on the day of sending."""
    return latest_on is None or sent_on + timedelta(days=days) < latest_on


def deposit_due(*, approved_on: date, days: int, latest_on: date | None) -> date:
    """Return when a deposit is due: so many days after the approval, at the latest on a day that may be stated.

    Whoever approves after that day has until the end of the day of the approval.
    """
    due = approved_on + timedelta(days=days)
    return due if latest_on is None else min(due, max(latest_on, approved_on))
