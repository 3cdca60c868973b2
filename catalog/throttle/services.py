"""Tries with a budget: some are free, then each has to wait, twice as long as the one before.

A try is counted before it is looked at, so that many at the same moment are counted too; one that succeeds is given
back. A try that is refused is not counted: knocking does not prolong the wait.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, QuerySet
from django.utils.crypto import salted_hmac

from catalog.records.errors import TooManyTries
from catalog.throttle.models import TryCount


@dataclass(frozen=True, slots=True)
class Budget:
    """How many tries are free, and how long the ones after them wait. The count begins anew after a quiet time."""

    scope: str
    free: int
    first_wait: timedelta = timedelta(minutes=1)
    longest_wait: timedelta = timedelta(hours=1)
    forget_after: timedelta = timedelta(days=1)

    def wait_after(self, tries: int) -> timedelta:
        """Return how long the next try has to wait after so many."""
        if tries < self.free:
            return timedelta()
        # The power is limited, so that a count of thousands does not overflow.
        return min(self.first_wait * (1 << min(tries - self.free, 20)), self.longest_wait)

    def of(self, subject: str) -> "Counted":
        """Return the budget of one subject."""
        return Counted(self, salted_hmac("catalog.throttle", subject, algorithm="sha256").hexdigest())


@dataclass(frozen=True, slots=True)
class Counted:
    """A budget and the keyed hash of the subject that uses it up."""

    budget: Budget
    subject: str

    @property
    def key(self) -> tuple[str, str]:
        """What the row is found by."""
        return self.budget.scope, self.subject


@transaction.atomic(durable=True)
def try_take(*counted: Counted, at: datetime) -> None:
    """Count one try against every budget.

    Raises
    ------
    TooManyTries
        If one of them is used up; then none is counted.
    """
    # Always in the same order: two that lock the same rows wait for each other instead of both stopping.
    rows = [(one.budget, _locked(one, at)) for one in sorted(counted, key=lambda one: one.key)]
    until = max(row.open_at for _, row in rows)
    if until > at:
        raise TooManyTries(until=until)
    for budget, row in rows:
        row.tries = 1 if row.forget_at <= at else row.tries + 1
        row.open_at = at + budget.wait_after(row.tries)
        row.forget_at = at + budget.forget_after
        row.save(update_fields=["tries", "open_at", "forget_at"])


@transaction.atomic(durable=True)
def try_give_back(*counted: Counted, at: datetime) -> None:
    """Take back one try that succeeded. The failed ones before it stay: whoever guesses may own an account too."""
    for one in sorted(counted, key=lambda one: one.key):
        _row(one).filter(tries__gt=0).update(tries=F("tries") - 1, open_at=at)


@transaction.atomic(durable=True)
def tries_forget(counted: Counted) -> None:
    """Begin to count anew."""
    _row(counted).delete()


def tries_clear(*, at: datetime) -> int:
    """Delete the rows that say nothing more; return how many."""
    return TryCount.objects.filter(forget_at__lte=at).delete()[0]


def _row(counted: Counted) -> QuerySet[TryCount]:
    scope, subject = counted.key
    return TryCount.objects.filter(scope=scope, subject=subject)


def _locked(counted: Counted, at: datetime) -> TryCount:
    scope, subject = counted.key
    fresh = {"open_at": at, "forget_at": at + counted.budget.forget_after}
    # Read under its lock: a success elsewhere deletes it. On SQLite the transaction's start took the write lock.
    row, _ = TryCount.objects.select_for_update().get_or_create(scope=scope, subject=subject, defaults=fresh)
    return row
