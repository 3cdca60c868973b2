"""Document numbers are unique and gapless, whoever is rolled back or killed."""

import pytest
from django.db import transaction
from django.db.transaction import TransactionManagementError

from orders.records.models import NumberSeries
from orders.records.numbers import SERIES, number_next
from tests.databases import RealDatabase

CLERKS, ROUNDS = 8, 50
PROGRAM = "tests.integration.processes.numbers"


def _written(database: RealDatabase) -> list[str]:
    return [row[0] for row in database.rows("SELECT note FROM orders_auditentry ORDER BY note")]


def _given(output: str) -> list[str]:
    return sorted(line.split()[1] for line in output.splitlines())


def _expected(count: int) -> list[str]:
    return [f"I-{number:05d}" for number in range(1, count + 1)]


def _race(database: RealDatabase) -> None:
    given = _given(database.run(PROGRAM, "race", str(CLERKS), str(ROUNDS)))
    assert given == _written(database) == _expected(len(given))
    assert CLERKS * ROUNDS * 0.6 < len(given) < CLERKS * ROUNDS, "about one in five is rolled back"


def _kill(database: RealDatabase) -> None:
    """Kill whoever is at work, again and again; whatever moment that was, no number is missing or double."""
    given = _given(database.run(PROGRAM, "kill", "4", "25"))
    written = _written(database)
    assert written == _expected(len(written))
    assert len(given) >= 25, "they were killed at work, not while starting"
    assert set(given) <= set(written), "a number that was given is on a document"
    assert _given(database.run(PROGRAM, "race", "1", "20"))[0] == f"I-{len(written) + 1:05d}", "it goes on from there"


def test_many_processes_with_rollbacks_share_one_gapless_series(real_database: RealDatabase) -> None:
    _race(real_database)


def test_killed_processes_leave_no_gap(real_database: RealDatabase) -> None:
    _kill(real_database)


@pytest.mark.django_db
@pytest.mark.parametrize(("code", "prefix"), SERIES.items())
def test_each_series_counts_by_itself(code: str, prefix: str) -> None:
    assert [number_next(code), number_next(code)] == [f"{prefix}00001", f"{prefix}00002"]
    assert NumberSeries.objects.get(pk=code).last == 2


@pytest.mark.django_db
def test_a_rolled_back_number_is_given_again() -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        number_next("quote")
        raise ZeroDivisionError
    assert number_next("quote") == "Q-00001"


@pytest.mark.django_db
def test_a_number_past_99999_only_grows_longer() -> None:
    NumberSeries.objects.create(code="order", prefix="O-", last=99_999)
    assert number_next("order") == "O-100000"


@pytest.mark.django_db(transaction=True)
def test_no_number_is_given_outside_a_transaction() -> None:
    with pytest.raises(TransactionManagementError, match="no_transaction"):
        number_next("invoice")


@pytest.mark.django_db
def test_an_unknown_series_is_an_error() -> None:
    with pytest.raises(KeyError):
        number_next("parcel")
