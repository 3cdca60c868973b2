"""The loop of the outbox: gives due rows to a process per lane, and does the periodic work.

A lane's process is started when the lane has work, ends after a while without (a PDF leaves 100 MiB behind), and is
killed when a piece of work takes longer than the lane allows. The loop itself does nothing that can stall.
"""

import logging
import multiprocessing
import threading
import time
from collections.abc import Callable
from contextlib import contextmanager
from multiprocessing.connection import wait
from typing import Any, Final

from django.conf import settings
from django.db import close_old_connections
from django.utils import timezone
from django.utils.module_loading import import_string

from catalog.outbox.lanes import Lane, lanes
from catalog.outbox.models import Outbox
from catalog.outbox.reasons import INTERRUPTED, took_too_long
from catalog.outbox.services import outbox_claim, outbox_due, outbox_put_off, outbox_release
from catalog.records.log_facts import log_facts
from catalog.records.reasons import Reason

logger = logging.getLogger(__name__)

#: Seconds between two looks for due rows: the longest that work waits for a free lane.
LOOK: Final = 0.25
#: Seconds without work after which a lane's process ends.
IDLE: Final = 20.0
#: Seconds that work in progress has to end when the loop is stopped.
PATIENCE: Final = 10.0
#: Seconds until the next look after one that failed, for example because the database did not answer.
REST: Final = 2.0

#: Forks a process that has the apps loaded, but no connection and no thread.
_processes: Final = multiprocessing.get_context("forkserver")


class LaneProcess:
    """A lane, its process if it has one, and the row in progress."""

    def __init__(self, lane: Lane) -> None:
        self.lane = lane
        self.row: Outbox | None = None
        self.pipe: Any = None
        self._process: Any = None
        self._since = 0.0

    def give(self, row: Outbox) -> None:
        """Give a claimed row to the lane's process; it is started if there is none.

        When it cannot be started the row is due again later, and the error is raised.
        """
        if self.pipe is None:
            try:
                self._start()
            except Exception:
                outbox_put_off(row=row, why=INTERRUPTED, at=timezone.now())
                raise
        self.row, self._since = row, time.monotonic()
        try:
            self.pipe.send((row.pk, row.attempts))
        except OSError:  # it died meanwhile
            self._stop(INTERRUPTED)

    def look(self) -> None:
        """Notice what was done, what takes too long, and a process that died or is not needed any more."""
        passed = time.monotonic() - self._since
        if self.pipe is None:
            return
        if self.pipe.poll():
            self._hear()
        elif self.row is not None and passed > self.lane.seconds:
            with log_facts(outbox=self.row.pk, about=self.row.about, request_id=self.row.request_id):
                logger.error("outbox row %s (%s) took too long and was stopped", self.row.pk, self.row.kind)
            self._stop(took_too_long(self.lane.seconds))
        elif self.row is None and passed > IDLE:
            self.end()

    def end(self) -> None:
        """End the process; the row in progress is released, for the next loop."""
        row = self._forget()
        if row is not None:
            outbox_release(row=row, at=timezone.now())

    def _start(self) -> None:
        from config.lane_process import work  # it loads the apps

        ours, theirs = _processes.Pipe()
        arguments = (theirs, self.lane.seconds)
        process: Any = _processes.Process(target=work, args=arguments, name=f"outbox {self.lane.name}")
        try:
            process.start()
        except BaseException:  # no memory, no process: the lane has none, and tries again with the next row
            ours.close()
            raise
        finally:
            theirs.close()
        self.pipe, self._process = ours, process

    def _hear(self) -> None:
        try:
            done = self.pipe.recv()
        except (EOFError, OSError):
            self._stop(INTERRUPTED)
            return
        row, self.row, self._since = self.row, None, time.monotonic()
        if not done and row is not None:
            # Changes nothing where the process could write the reason itself.
            outbox_put_off(row=row, why=INTERRUPTED, at=timezone.now())

    def _stop(self, why: Reason) -> None:
        """End the process whose work failed without an answer."""
        row = self._forget()
        if row is not None:
            outbox_put_off(row=row, why=why, at=timezone.now())

    def _forget(self) -> Outbox | None:
        row, self.row = self.row, None
        if self._process is not None:
            self.pipe.close()  # without work it ends by itself
            if row is not None:
                self._process.kill()
            self._process.join()
        self.pipe = self._process = None
        return row


class OutboxLoop:
    """The lanes and the times of the periodic work."""

    def __init__(self) -> None:
        _processes.set_forkserver_preload(["config.lane_process"])
        self.lanes = {lane.name: LaneProcess(lane) for lane in lanes()}
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
        for lane in self.lanes.values():
            lane.look()
        self._periodic()
        self._give()
        busy = [lane.pipe for lane in self.lanes.values() if lane.row is not None]
        if busy:
            wait(busy, timeout=LOOK)
        else:
            time.sleep(LOOK)

    def end(self) -> None:
        """Let the work in progress end, for a while, then end the processes."""
        deadline = time.monotonic() + PATIENCE
        while time.monotonic() < deadline:
            busy = [lane for lane in self.lanes.values() if lane.row is not None]
            if not busy:
                break
            wait([lane.pipe for lane in busy], timeout=LOOK)
            for lane in busy:
                with _logged("ending a lane"):
                    lane.look()
        for lane in self.lanes.values():
            with _logged("ending a lane"):
                lane.end()

    def _give(self) -> None:
        if all(lane.row is not None for lane in self.lanes.values()):
            return
        now = timezone.now()
        for name, row_id in outbox_due(at=now).items():
            lane = self.lanes[name]
            row = None if lane.row is not None else outbox_claim(row_id=row_id, at=now)
            if row is not None:
                with _logged(f"outbox row {row.pk}: giving it to the lane {name}"):
                    lane.give(row)

    def _periodic(self) -> None:
        for path, seconds in settings.PERIODIC_WORK.items():
            if time.monotonic() >= self._next[path]:
                self._next[path] = time.monotonic() + seconds
                with _logged(path):
                    periodic_work(path)


def periodic_work(path: str) -> None:
    """Call one entry of ``settings.PERIODIC_WORK``."""
    service: Callable[..., object] = import_string(path)
    service(at=timezone.now())


@contextmanager
def _logged(what: str) -> Any:
    # One lane or one piece of periodic work that fails must not keep the others from their turn.
    try:
        yield
    except Exception:
        logger.exception("%s failed", what)
