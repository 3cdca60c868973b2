"""The loop as a process: work starts at once, no lane waits for another, nothing is lost when processes die."""

import json
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from tests.databases import ROOT, RealDatabase
from tests.integration.catalog.outbox.test_outbox_processes import PROGRAM, _marks, _rows, _until

SETTINGS = "tests.broker_settings"
#: Longer than any machine takes for what is looked at meanwhile; the work is stopped then.
STALLED = json.dumps({"seconds": 600})


@contextmanager
def _loop(database: RealDatabase, **extra: str) -> Iterator[subprocess.Popen[bytes]]:
    command = [sys.executable, "-m", "django", "outbox", "--loop"]
    environment = {**database.environment, "DJANGO_SETTINGS_MODULE": SETTINGS, "COLDSET_BROKER_URL": "", **extra}
    process = subprocess.Popen(command, cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    try:
        yield process
    finally:
        process.terminate()
        process.wait(timeout=120)


def _add(database: RealDatabase, kind: str, payload: str = '{"name": "done"}', count: int = 1) -> None:
    here = RealDatabase(database.location, database.postgres, {"COLDSET_BROKER_URL": ""})
    here.run(PROGRAM, "add", str(count), kind, payload, settings=SETTINGS)


def _stalled_lane_holds_up_nothing(database: RealDatabase) -> None:
    _add(database, "slow", STALLED)
    _add(database, "stall", STALLED)
    with _loop(database):
        _until(lambda: len(_marks(database)) == 2)
        _add(database, "mark", count=20)
        _until(lambda: _rows(database)[2:] == [("done", 1)] * 20)
        # The lane of mails allows two seconds: its work was stopped and is due again later.
        _until(lambda: _rows(database)[1] == ("waiting", 1))
        assert _rows(database)[0] == ("running", 1)
    errors = database.rows("SELECT error FROM catalog_outbox ORDER BY id")
    assert "took_too_long" in str(errors[1][0])
    assert _rows(database)[0] == ("waiting", 1), "the loop was stopped: what was under way is due again at once"


def _long_periodic_work_holds_up_nothing(database: RealDatabase) -> None:
    with _loop(database, TEST_STALLED_WORK="1") as loop:
        _until(lambda: _marks(database) == ["periodic work began"])
        _add(database, "mark", count=20)
        _until(lambda: _rows(database) == [("done", 1)] * 20)
        assert sum(name.startswith("done") for name in _marks(database)) == 20
        _until(lambda: bool(database.rows("SELECT at FROM catalog_heartbeat WHERE process = 'work'")))
        processes = _begun_by(loop.pid)
        assert _marks(database).count("periodic work began") == 1, "one piece at a time"
    _until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in processes))


def _dead_process_costs_an_attempt(database: RealDatabase) -> None:
    with _loop(database):
        _add(database, "die")
        _add(database, "mark")
        _until(lambda: _rows(database) == [("waiting", 1), ("done", 1)])
        database.run(PROGRAM, "sweep", "2")
    assert _rows(database) == [("done", 2), ("done", 1)]
    assert _marks(database)[-1] == "lived 1"


def _killed_loop_leaves_no_process_behind(database: RealDatabase) -> None:
    with _loop(database) as loop:
        _add(database, "mark")
        _until(lambda: _rows(database) == [("done", 1)])
        loop.send_signal(signal.SIGKILL)
        _until(lambda: loop.poll() is not None)
    with _loop(database):
        _add(database, "mark")
        _until(lambda: _rows(database) == [("done", 1)] * 2)


def _work_of_a_killed_loop_is_stopped_at_its_lanes_limit(database: RealDatabase) -> None:
    with _loop(database) as loop:
        _add(database, "stall", STALLED)
        _until(lambda: len(_marks(database)) == 1)
        processes = _begun_by(loop.pid)
        assert processes
        loop.send_signal(signal.SIGKILL)
        _until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in processes))
    assert _marks(database) == ["began 1 attempt 1"]


def _begun_by(pid: int) -> list[int]:
    """Return the processes that a process started, and those that they started."""
    parents = {}
    for file in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            parents[int(file.parent.name)] = int(file.read_text().rpartition(")")[2].split()[1])
    children = [child for child, parent in parents.items() if parent == pid]
    return children + [one for child in children for one in _begun_by(child)]


def _two_loops_do_each_row_once(database: RealDatabase) -> None:
    with _loop(database), _loop(database):
        _add(database, "mark", count=60)
        _until(lambda: _rows(database) == [("done", 1)] * 60)
    assert len(_marks(database)) == 60


SCENES = [
    _stalled_lane_holds_up_nothing,
    _long_periodic_work_holds_up_nothing,
    _dead_process_costs_an_attempt,
    _killed_loop_leaves_no_process_behind,
    _work_of_a_killed_loop_is_stopped_at_its_lanes_limit,
    _two_loops_do_each_row_once,
]


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.__name__.strip("_"))
def test_the_loop(real_database: RealDatabase, scene: Callable[[RealDatabase], None]) -> None:
    scene(real_database)
