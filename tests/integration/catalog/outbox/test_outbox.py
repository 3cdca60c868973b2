"""Nothing that must happen after a change is lost, and nothing of it disturbs the change."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.utils import timezone
from pytest_django.fixtures import Settings

from catalog.outbox.models import Outbox
from catalog.outbox.presenters import work_problem
from catalog.outbox.reasons import INTERRUPTED
from catalog.outbox.services import (
    ATTEMPTS,
    SKEW,
    STUCK,
    UNDELIVERED,
    WAITS,
    _finish,
    outbox_add,
    outbox_claim,
    outbox_due,
    outbox_put_off,
    outbox_retry,
    outbox_run,
    outbox_sweep,
    outbox_tend,
)
from catalog.pantry.models import Supplier
from catalog.records.errors import ChangedMeanwhile
from catalog.records.reasons import Reason, reason_to_json
from catalog.tasks import outbox_run_task, periodic
from config import settings as service
from tests.integration.catalog.outbox.outbox_kinds import HANDLERS, LANES

AT = datetime(2027, 2, 6, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _handlers(settings: Settings) -> None:
    settings.OUTBOX_HANDLERS, settings.OUTBOX_LANES = HANDLERS, LANES


def _ask(kind: str = "mark", *, run_after: datetime | None = None, **payload: Any) -> Outbox:
    """Request work and do what is due."""
    row = _add(kind, **payload)
    if run_after is not None:
        Outbox.objects.filter(pk=row.pk).update(run_after=run_after)
    outbox_sweep(at=AT)
    row.refresh_from_db()
    return row


def _add(kind: str = "mark", **payload: Any) -> Outbox:
    with transaction.atomic(durable=True):
        return outbox_add(kind=kind, payload=payload or {"name": "done"}, about="quote:1", summary="Mail", at=AT)


def _suppliers() -> list[str]:
    return [name.split(" #")[0] for name in Supplier.objects.order_by("pk").values_list("name", flat=True)]


def test_a_commit_requests_work_and_does_none_of_it() -> None:
    row = _add()
    assert (row.status, _suppliers()) == ("waiting", [])
    assert outbox_sweep(at=AT) == 1
    row.refresh_from_db()
    assert (row.status, row.attempts, row.error) == ("done", 1, {})
    assert _suppliers() == ["done"]


def test_a_rollback_asks_for_nothing() -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        outbox_add(kind="mark", payload={"name": "done"}, about="", summary="", at=AT)
        raise ZeroDivisionError
    assert not Outbox.objects.exists()
    assert _suppliers() == []


def test_a_rolled_back_savepoint_takes_its_work_along_and_leaves_the_rest() -> None:
    with transaction.atomic():
        outbox_add(kind="mark", payload={"name": "outer"}, about="", summary="", at=AT)
        with pytest.raises(IntegrityError), transaction.atomic():
            outbox_add(kind="mark", payload={"name": "inner"}, about="", summary="", at=AT)
            raise IntegrityError
    outbox_sweep(at=AT)
    assert _suppliers() == ["outer"]
    assert Outbox.objects.count() == 1


def test_a_handler_may_ask_for_more_work() -> None:
    assert _ask("follow").status == "done"
    assert _suppliers() == ["followed"]
    assert list(Outbox.objects.values_list("kind", "status")) == [("follow", "done"), ("mark", "done")]


def test_work_that_was_put_off_waits_for_its_time() -> None:
    row = _add()
    Outbox.objects.update(attempts=2, run_after=AT + 5 * MINUTE)
    assert outbox_sweep(at=AT + 4 * MINUTE) == 0
    assert outbox_sweep(at=AT + 5 * MINUTE) == 1
    row.refresh_from_db()
    assert (row.status, _suppliers()) == ("done", ["done"])


@pytest.mark.parametrize("attempts", [0, 1, 2, 3, 4])
def test_a_clock_set_back_delays_no_work(attempts: int) -> None:
    _add()
    wait = timedelta(minutes=[0, *WAITS][attempts])
    Outbox.objects.update(attempts=attempts, run_after=AT + wait)
    clock = AT - timedelta(hours=3)
    assert outbox_due(at=clock).keys() == {"documents"}, "no failure puts work off for so long"
    Outbox.objects.update(run_after=clock + wait + SKEW)
    assert not outbox_due(at=clock), "it waits its turn, and clocks of two machines differ a little"
    Outbox.objects.update(run_after=AT + wait)
    assert outbox_sweep(at=clock) == 1
    assert _suppliers() == ["done"]


def test_work_claimed_before_a_clock_was_set_back_is_taken_back_like_any_other() -> None:
    _add()
    Outbox.objects.update(status="running", attempts=1, claimed_at=AT)
    clock = AT - timedelta(hours=3)
    outbox_tend(at=clock)
    assert Outbox.objects.get().status == "running", "its worker may be there yet"
    outbox_tend(at=clock + STUCK + MINUTE)
    assert Outbox.objects.get().status == "waiting"


def test_an_unknown_kind_is_refused_where_it_is_asked_for() -> None:
    with pytest.raises(KeyError, match="parcel"), transaction.atomic():
        outbox_add(kind="parcel", payload={}, about="", summary="", at=AT)


@pytest.mark.parametrize(
    ("kind", "error", "sentence"),
    [
        ("mail", "refused", "The mail server did not answer. (ConnectionRefusedError: [Errno 111] Connection refused)"),
        ("fail", "refused", "The server did not answer. (ConnectionRefusedError: [Errno 111] Connection refused)"),
        ("fail", "plain", "It stopped with an unexpected error. (ValueError: seven of nine)"),
        (
            "fail",
            "weasyprint",
            "The document uses a picture or a file that it may not load. (NotAnException: file:///x)",
        ),
    ],
)
def test_a_failing_handler_leaves_the_change_alone_and_says_why(kind: str, error: str, sentence: str) -> None:
    with transaction.atomic():
        Supplier.objects.create(name="the change")
        row = outbox_add(kind=kind, payload={"error": error}, about="", summary="", at=AT)
    outbox_run(row_id=row.pk, at=AT)
    row.refresh_from_db()
    assert _suppliers() == ["the change"]
    assert (row.status, row.attempts, row.run_after) == ("waiting", 1, AT + MINUTE)
    assert work_problem(row) == sentence


def test_a_handler_that_does_not_exist_is_a_failed_attempt() -> None:
    row = _ask("lost")
    assert (row.status, row.attempts) == ("waiting", 1)
    assert "nowhere" in work_problem(row)


def test_it_is_tried_again_with_growing_pauses_and_then_given_up() -> None:
    row = _add("fail", error="plain")
    outbox_run(row_id=row.pk, at=AT)
    at = AT
    for attempt, wait in enumerate(WAITS, start=1):
        assert outbox_sweep(at=at + wait * MINUTE - timedelta(seconds=1)) == 0
        row.refresh_from_db()
        assert (row.status, row.attempts) == ("waiting", attempt), "not tried before its time"
        at = row.run_after
        assert not outbox_run(row_id=row.pk, at=at)
    row.refresh_from_db()
    assert (row.status, row.attempts) == ("failed", ATTEMPTS)
    assert outbox_sweep(at=at + timedelta(days=30)) == 0
    row.refresh_from_db()
    assert row.attempts == ATTEMPTS, "what was given up stays until somebody asks again"


def test_the_owner_can_have_failed_work_tried_again() -> None:
    row = _ask("fail", error="plain")
    Outbox.objects.update(status="failed", attempts=ATTEMPTS, kind="mark", payload={"name": "at last"})
    outbox_retry(row_id=row.pk, at=AT + MINUTE)
    assert outbox_sweep(at=AT + MINUTE) == 1
    row.refresh_from_db()
    assert (row.status, row.attempts, row.error) == ("done", 1, {})
    assert _suppliers() == ["at last"]


@pytest.mark.parametrize("status", ["running", "done"])
def test_work_under_way_or_done_is_not_tried_again(status: str) -> None:
    row = _ask(run_after=AT + MINUTE)
    Outbox.objects.update(status=status)
    with pytest.raises(ChangedMeanwhile):
        outbox_retry(row_id=row.pk, at=AT)
    assert _suppliers() == []


def test_an_interrupted_row_is_given_back_at_once_and_the_interrupt_goes_on() -> None:
    asked = _add("fail", error="interrupt")
    with pytest.raises(KeyboardInterrupt):
        outbox_run(row_id=asked.pk, at=AT)
    row = Outbox.objects.get()
    assert (row.status, row.attempts, row.run_after) == ("waiting", 1, AT)


def test_a_row_whose_worker_vanished_is_taken_back_after_a_while() -> None:
    row = _ask(run_after=AT + MINUTE)
    Outbox.objects.update(status="running", attempts=1, claimed_at=AT)
    assert outbox_sweep(at=AT + STUCK) == 0, "it may still be at work"
    assert outbox_sweep(at=AT + STUCK + MINUTE) == 1
    row.refresh_from_db()
    assert (row.status, row.attempts) == ("done", 2)


def test_a_row_that_stops_every_worker_is_given_up() -> None:
    row = _ask(run_after=AT + MINUTE)
    Outbox.objects.update(status="running", attempts=ATTEMPTS, claimed_at=AT)
    assert outbox_sweep(at=AT + STUCK + MINUTE) == 0
    row.refresh_from_db()
    assert (row.status, row.error) == ("failed", reason_to_json(INTERRUPTED))


def test_a_slow_worker_whose_row_was_taken_back_does_not_overwrite_the_second_attempt() -> None:
    row = _ask(run_after=AT + MINUTE)
    first = outbox_claim(row_id=row.pk, at=AT + MINUTE)
    assert first is not None
    outbox_tend(at=AT + MINUTE + STUCK + MINUTE)
    second = outbox_claim(row_id=row.pk, at=AT + MINUTE + STUCK + MINUTE)
    assert second is not None
    outbox_put_off(row=first, why=Reason("unexpected", {"error": "too late"}), at=AT)
    row.refresh_from_db()
    assert (row.status, row.attempts, row.error) == ("running", 2, reason_to_json(INTERRUPTED))
    assert _finish(second, status="done")


def test_a_row_runs_once_however_often_it_is_asked_to() -> None:
    row = _ask()
    assert not outbox_run(row_id=row.pk, at=AT + MINUTE)
    assert not outbox_run(row_id=row.pk + 1, at=AT + MINUTE)
    assert _suppliers() == ["done"]


class _Broker:
    """Stands in for Celery: counts what it is asked, and is down as long as it is told."""

    def __init__(self) -> None:
        self.down = False
        self.asked = 0
        self.sent: list[tuple[str, list[Any], str]] = []

    def send_task(self, name: str, *, args: list[Any], queue: str, **limits: int) -> None:
        self.asked += 1
        if self.down:
            raise ConnectionRefusedError
        assert limits["soft_time_limit"] < limits["time_limit"] < STUCK.total_seconds()
        self.sent.append((name, args, queue))


@pytest.fixture
def broker(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> _Broker:
    settings.CELERY_BROKER_URL = "redis://127.0.0.1:1/0"
    monkeypatch.setattr("catalog.outbox.broker._resting_until", 0.0)
    stands_in = _Broker()
    monkeypatch.setattr("celery.current_app", stands_in)
    return stands_in


def test_a_broker_that_is_down_is_waited_for_once_and_gets_the_rows_later(
    broker: _Broker, monkeypatch: pytest.MonkeyPatch
) -> None:
    broker.down = True
    with transaction.atomic(durable=True):
        rows = [outbox_add(kind="mark", payload={"name": "done"}, about="", summary="", at=AT) for _ in range(3)]
    assert broker.asked == 1, "one commit with three rows asks it once"
    assert set(Outbox.objects.values_list("status", "attempts")) == {("waiting", 0)}
    broker.down = False
    monkeypatch.setattr("catalog.outbox.broker._resting_until", 0.0)
    outbox_tend(at=AT + UNDELIVERED - timedelta(seconds=1))
    assert broker.sent == [], "it may still be on its way"
    outbox_tend(at=AT + UNDELIVERED)
    assert [args for _, args, _ in broker.sent] == [[row.pk, AT.isoformat()] for row in rows]


def test_without_workers_the_queue_does_not_fill_up_with_the_same_rows(broker: _Broker) -> None:
    row = _add()
    broker.sent.clear()
    for minute in range(1, 8 * 60):
        outbox_tend(at=AT + minute * MINUTE)
    assert len(broker.sent) < 60, "not each minute"
    gaps_at_first = {1, 2, 4, 8, 16, 26}
    broker.sent.clear()
    Outbox.objects.update(wake_after=None)
    times = []
    for minute in range(1, 30):
        outbox_tend(at=AT + minute * MINUTE)
        if broker.sent:
            times.append(minute)
            broker.sent.clear()
    assert set(times) == gaps_at_first
    outbox_put_off(row=outbox_claim(row_id=row.pk, at=AT + 30 * MINUTE), why=INTERRUPTED, at=AT + 30 * MINUTE)  # type: ignore[arg-type]  # it is due
    outbox_tend(at=AT + 32 * MINUTE)
    assert len(broker.sent) == 1, "a new attempt is sent again as soon as the first one was"


def test_a_broker_that_is_down_while_rows_are_sent_again_gets_them_the_next_time(
    broker: _Broker, monkeypatch: pytest.MonkeyPatch
) -> None:
    _add()
    broker.sent.clear()
    broker.down = True
    outbox_tend(at=AT + MINUTE)
    broker.down = False
    monkeypatch.setattr("catalog.outbox.broker._resting_until", 0.0)
    outbox_tend(at=AT + MINUTE + timedelta(seconds=1))
    assert len(broker.sent) == 1


def test_what_a_clock_set_back_left_ahead_is_sent_as_due_now(broker: _Broker) -> None:
    row = _add()
    broker.sent.clear()
    clock = AT - timedelta(hours=3)
    outbox_tend(at=clock)
    assert [args for _, args, _ in broker.sent] == [[row.pk, clock.isoformat()]]


def test_with_a_broker_the_row_is_sent_to_its_lane_after_the_commit(broker: _Broker) -> None:
    with transaction.atomic(durable=True):
        row = outbox_add(kind="mark", payload={"name": "done"}, about="", summary="", at=AT)
        assert broker.sent == []
    assert broker.sent == [(outbox_run_task.name, [row.pk, AT.isoformat()], "documents")]


def test_a_worker_whose_clock_is_behind_does_what_is_due_and_not_what_was_put_off() -> None:
    due = timezone.now() + timedelta(hours=1)
    row = Outbox.objects.create(kind="mark", payload={"name": "done"}, created_at=due, run_after=due)
    Outbox.objects.update(attempts=2, run_after=due + 5 * MINUTE)
    outbox_run_task(row.pk, due.isoformat())
    assert _suppliers() == [], "put off since it was sent"
    Outbox.objects.update(run_after=due)
    outbox_run_task(row.pk, due.isoformat())
    assert _suppliers() == ["done"]


@pytest.mark.parametrize("kind", ["mail", "mark", "slow"])
def test_each_lane_has_its_own_first_row(kind: str) -> None:
    rows = {name: _add(name) for name in ("mail", "mark", "slow")}
    _add(kind)
    assert outbox_due(at=AT) == {"mail": rows["mail"].pk, "documents": rows["mark"].pk, "files": rows["slow"].pk}


def test_the_command_does_once_what_is_due_and_the_periodic_work(settings: Settings) -> None:
    settings.PERIODIC_WORK = {"tests.integration.catalog.outbox.test_outbox.periodic_mark": 60}
    past = datetime(2020, 1, 1, tzinfo=UTC)
    Outbox.objects.create(kind="mark", payload={"name": "done"}, created_at=past, run_after=past)
    call_command("outbox", "--once")
    assert _suppliers() == ["periodic", "done"]


def periodic_mark(*, at: datetime) -> None:
    """Stand in for periodic work."""
    Supplier.objects.create(name="periodic")


def test_the_beat_calls_the_periodic_work_and_nothing_else(settings: Settings) -> None:
    beat = {entry["args"][0]: entry["schedule"] for entry in settings.CELERY_BEAT_SCHEDULE.values()}
    assert beat == settings.PERIODIC_WORK
    settings.PERIODIC_WORK = {"tests.integration.catalog.outbox.test_outbox.periodic_mark": 60}
    periodic("tests.integration.catalog.outbox.test_outbox.periodic_mark")
    assert _suppliers() == ["periodic"]
    with pytest.raises(KeyError):
        periodic("os.getcwd")


def test_every_kind_of_work_has_one_lane_and_a_limit_below_the_time_after_which_it_counts_as_stuck() -> None:
    lanes = service.OUTBOX_LANES.values()
    assert sorted(kind for lane in lanes for kind in lane["kinds"]) == sorted(service.OUTBOX_HANDLERS)
    assert set(service.MAIL_WRITERS) == set(service.OUTBOX_LANES["mail"]["kinds"])
    assert all(lane["seconds"] + 30 < STUCK.total_seconds() for lane in lanes)
