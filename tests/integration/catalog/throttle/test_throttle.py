"""Budgets of tries: free ones, growing waits, and rows that go when they say nothing more."""

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.records.errors import TooManyTries
from catalog.throttle.models import TryCount
from catalog.throttle.services import Budget, tries_clear, tries_forget, try_give_back, try_take

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 2, 1, 9, tzinfo=UTC)
BUDGET = Budget("test", free=3)
IDA = BUDGET.of("ida")


def _waits(count: int) -> list[int]:
    """Use the budget up and try again each time as soon as it is allowed; return the minutes waited."""
    at, waited = NOW, []
    for _ in range(count):
        try:
            try_take(IDA, at=at)
        except TooManyTries as brake:
            waited.append(int((brake.until - at).total_seconds() / 60))
            at = brake.until
            try_take(IDA, at=at)
    return waited


def test_some_tries_are_free_and_the_waits_after_them_double_up_to_an_hour() -> None:
    assert _waits(11) == [1, 2, 4, 8, 16, 32, 60, 60]


def test_a_refused_try_does_not_prolong_the_wait() -> None:
    for _ in range(3):
        try_take(IDA, at=NOW)
    for _ in range(5):
        with pytest.raises(TooManyTries) as caught:
            try_take(IDA, at=NOW + timedelta(seconds=50))
        assert caught.value.until == NOW + timedelta(minutes=1)
    assert TryCount.objects.get().tries == 3


def test_one_that_succeeds_is_given_back_and_the_failures_before_it_stay() -> None:
    for _ in range(3):
        try_take(IDA, at=NOW)
    try_give_back(IDA, at=NOW)
    try_take(IDA, at=NOW)
    with pytest.raises(TooManyTries):
        try_take(IDA, at=NOW)


def test_a_count_is_read_once_and_under_its_lock_because_a_success_elsewhere_deletes_it() -> None:
    try_take(IDA, at=NOW)
    with CaptureQueriesContext(connection) as queries:
        try_take(IDA, at=NOW)
    reads = [query["sql"] for query in queries if query["sql"].startswith("SELECT") and "trycount" in query["sql"]]
    assert len(reads) == 1
    assert ("FOR UPDATE" in reads[0]) == connection.features.has_select_for_update


def test_several_budgets_count_together_or_not_at_all() -> None:
    other = Budget("other", free=1).of("198.51.100.7")
    try_take(IDA, other, at=NOW)
    with pytest.raises(TooManyTries):
        try_take(IDA, other, at=NOW)
    assert {(row.scope, row.tries) for row in TryCount.objects.all()} == {("test", 1), ("other", 1)}


def test_a_quiet_day_begins_the_count_anew() -> None:
    for _ in range(3):
        try_take(IDA, at=NOW)
    for _ in range(3):
        try_take(IDA, at=NOW + timedelta(days=1))
    assert TryCount.objects.get().tries == 3


def test_rows_that_are_over_are_deleted_and_others_stay() -> None:
    try_take(IDA, at=NOW)
    try_take(BUDGET.of("tess"), at=NOW + timedelta(hours=5))
    assert tries_clear(at=NOW + timedelta(days=1)) == 1
    assert tries_clear(at=NOW + timedelta(days=1)) == 0
    tries_forget(BUDGET.of("tess"))
    assert not TryCount.objects.exists()


def test_a_row_names_nobody() -> None:
    try_take(IDA, at=NOW)
    assert "ida" not in TryCount.objects.get().subject


def test_a_count_of_thousands_waits_an_hour_too() -> None:
    assert BUDGET.wait_after(1_000_000) == timedelta(hours=1)


@pytest.mark.django_db(transaction=True)
def test_tries_at_the_same_moment_are_counted_one_after_the_other() -> None:
    start = threading.Barrier(12)

    def attempt(_: int) -> bool:
        start.wait()
        try:
            try_take(IDA, Budget("other", free=100).of("there"), at=NOW)
        except TooManyTries:
            return False
        finally:
            connection.close()
        return True

    with ThreadPoolExecutor(12) as pool:
        assert sum(pool.map(attempt, range(12))) == BUDGET.free
