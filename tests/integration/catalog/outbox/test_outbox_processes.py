"""Outbox work under killed workers, racing workers, and a real broker."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

import pytest

from tests.databases import ROOT, RealDatabase

PROGRAM = "tests.integration.processes.outbox"
SLOW = json.dumps({"seconds": 600})
AFTER_STUCK = "12"


def _rows(database: RealDatabase) -> list[tuple[str, int]]:
    return [(row[0], row[1]) for row in database.rows("SELECT status, attempts FROM catalog_outbox ORDER BY id")]


def _marks(database: RealDatabase) -> list[str]:
    return [row[0] for row in database.rows("SELECT name FROM catalog_supplier ORDER BY id")]


def _until(holds: Callable[[], bool], seconds: int = 120) -> None:
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it did not come to pass in time"
        time.sleep(0.1)


def _kill_and_sweep(database: RealDatabase) -> None:
    database.run(PROGRAM, "add", "1", "slow", SLOW)
    worker = database.start(PROGRAM, "run", "1")
    assert worker.stdout is not None
    assert worker.stdout.readline() == "began 1\n"
    worker.kill()
    worker.communicate(timeout=120)
    assert _rows(database) == [("running", 1)], "nobody knows yet that the worker is gone"
    assert database.run(PROGRAM, "sweep", "1").splitlines() == ["0"], "it might still be at work"
    assert database.run(PROGRAM, "sweep", AFTER_STUCK).splitlines() == ["began 1", "1"]
    assert _rows(database) == [("done", 2)]
    # The interrupted attempt had begun: one duplicate at most, and the work ended.
    assert _marks(database) == ["began 1 attempt 1", "began 1 attempt 2", "ended 1 attempt 2"]


def _race(database: RealDatabase) -> None:
    database.run(PROGRAM, "add", "40", "slow", json.dumps({"seconds": 0.005}))
    database.run(PROGRAM, "race", "6")
    assert _rows(database) == [("done", 1)] * 40
    assert sorted(_marks(database)) == sorted(
        f"{what} {row} attempt 1" for what in ("began", "ended") for row in range(1, 41)
    )


def test_work_of_a_killed_worker_is_done_by_a_later_sweep(real_database: RealDatabase) -> None:
    _kill_and_sweep(real_database)


def test_racing_workers_do_each_row_once(real_database: RealDatabase) -> None:
    _race(real_database)


@contextmanager
def _celery(database: RealDatabase, *, workers: int = 1) -> Iterator[subprocess.Popen[bytes]]:
    command = [sys.executable, "-m", "celery", "-A", "config", "worker", "-c", str(workers), "--loglevel=WARNING"]
    command += ["--queues", "mail,documents,files,exports,periodic"]
    process = subprocess.Popen(
        command,
        cwd=ROOT,
        # `make check` makes Django's checks; here they would only cost time.
        env={**database.environment, "DJANGO_SETTINGS_MODULE": "tests.broker_settings", "CELERY_SKIP_CHECKS": "1"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        yield process
    finally:
        # The whole group: a killed parent leaves its pool behind.
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait(timeout=120)


@pytest.mark.redis
def test_celery_does_the_work_that_a_commit_asked_for(with_broker: RealDatabase) -> None:
    with _celery(with_broker, workers=2):
        with_broker.run(PROGRAM, "add", "20", "mark", '{"name": "done"}', settings="tests.broker_settings")
        _until(lambda: _rows(with_broker) == [("done", 1)] * 20)
    assert len(_marks(with_broker)) == 20


@pytest.mark.redis
def test_work_of_a_killed_celery_worker_is_done_after_the_sweep(with_broker: RealDatabase) -> None:
    with _celery(with_broker) as worker:
        with_broker.run(PROGRAM, "add", "1", "slow", SLOW, settings="tests.broker_settings")
        _until(lambda: _marks(with_broker) == ["began 1 attempt 1"])
        os.killpg(worker.pid, signal.SIGKILL)
        worker.wait(timeout=120)
    assert _rows(with_broker) == [("running", 1)]
    with_broker.run(PROGRAM, "sweep", AFTER_STUCK)
    assert _rows(with_broker) == [("done", 2)]
    with _celery(with_broker):  # what the broker still delivers of it does nothing
        with_broker.run(PROGRAM, "add", "1", "mark", '{"name": "next"}', settings="tests.broker_settings")
        _until(lambda: _rows(with_broker) == [("done", 2), ("done", 1)])
    assert _marks(with_broker)[:3] == ["began 1 attempt 1", "began 1 attempt 2", "ended 1 attempt 2"]


@pytest.mark.redis
def test_a_broker_that_does_not_answer_delays_a_commit_only_a_little(real_database: RealDatabase) -> None:
    away = RealDatabase(real_database.location, real_database.postgres, {"COLDSET_BROKER_URL": "redis://127.0.0.1:1/0"})
    started = time.monotonic()
    away.run(PROGRAM, "add", "1", "mark", '{"name": "done"}', settings="tests.broker_settings")
    assert time.monotonic() - started < 60, "start of the process included"
    assert _rows(real_database) == [("waiting", 0)]
    real_database.run(PROGRAM, "sweep", "1")
    assert _rows(real_database) == [("done", 1)]
