"""The loop of the outbox: gives due rows to a process per lane, and periodic work to a process of its own.

The loop itself does nothing that can stall (:mod:`config.work_processes` does), but for the few queries that say it is
alive and take back what was interrupted (``settings.LOOP_WORK``).
"""

import logging
import threading
import time
from contextlib import contextmanager
from multiprocessing.connection import wait
from typing import Any, Final

from django.conf import settings
from django.db import close_old_connections
from django.utils import timezone

from catalog.outbox.lanes import lanes
from catalog.outbox.periodic import periodic_work
from catalog.outbox.services import outbox_claim, outbox_due
from config.work_processes import PROCESSES, LaneProcess, PeriodicProcess, WorkProcess

logger = logging.getLogger(__name__)

#: Seconds between two looks for due rows: the longest that work waits for a free lane.
LOOK: Final = 0.25
#: Seconds that work in progress has to end when the loop is stopped.
PATIENCE: Final = 10.0
#: Seconds until the next look after one that failed, for example because the database did not answer.
REST: Final = 2.0


class OutboxLoop:
    """The lanes, the periodic work and its times."""

    def __init__(self) -> None:
        PROCESSES.set_forkserver_preload(["config.lane_process"])
        self.lanes = {lane.name: LaneProcess(lane) for lane in lanes()}
        self.periodic = PeriodicProcess()
        self._next = dict.fromkeys(settings.PERIODIC_WORK, 0.0)

    def run(self, stop: threading.Event) -> None:
        """Go on until stopped; whatever goes wrong is logged, because without the loop no mail would leave."""
        try:
            while not stop.is_set():
                try:
                    self.turn()
                except Exception:
                    logger.exception("a round of the outbox failed; the next one follows")
                    stop.wait(REST)
        finally:
            self.end()

    def turn(self) -> None:
        """Look after the lanes, do the periodic work that is due, and wait for news."""
        close_old_connections()
        for process in self._processes():
            process.look()
        self._periodic()
        self._give()
        if busy := self._busy():
            wait([process.pipe for process in busy], timeout=LOOK)
        else:
            time.sleep(LOOK)

    def end(self) -> None:
        """Let the work in progress end, for a while, then end the processes."""
        deadline = time.monotonic() + PATIENCE
        while time.monotonic() < deadline:
            busy = self._busy()
            if not busy:
                break
            wait([process.pipe for process in busy], timeout=LOOK)
            for process in busy:
                with _logged(f"ending {process.name}"):
                    process.look()
        for process in self._processes():
            with _logged(f"ending {process.name}"):
                process.end()

    def _processes(self) -> list[WorkProcess]:
        return [*self.lanes.values(), self.periodic]

    def _busy(self) -> list[WorkProcess]:
        return [process for process in self._processes() if process.job is not None]

    def _give(self) -> None:
        if all(lane.job is not None for lane in self.lanes.values()):
            return
        now = timezone.now()
        for name, row_id in outbox_due(at=now).items():
            lane = self.lanes[name]
            row = None if lane.job is not None else outbox_claim(row_id=row_id, at=now)
            if row is not None:
                with _logged(f"outbox row {row.pk}: giving it to the lane {name}"):
                    lane.give(row)

    def _periodic(self) -> None:
        for path, seconds in settings.PERIODIC_WORK.items():
            here = path in settings.LOOP_WORK
            if time.monotonic() < self._next[path] or not (here or self.periodic.job is None):
                continue
            self._next[path] = time.monotonic() + seconds
            with _logged(path):
                periodic_work(path) if here else self.periodic.give(path)


@contextmanager
def _logged(what: str) -> Any:
    # One lane or one piece of periodic work that fails must not keep the others from their turn.
    try:
        yield
    except Exception:
        logger.exception("%s failed", what)
