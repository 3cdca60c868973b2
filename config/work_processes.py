"""Processes that work beside the loop of the outbox: one for each lane, and one for the periodic work.

A process is started when there is work for it, ends after a while without (a PDF leaves 100 MiB behind), and is killed
when a piece of work takes longer than it may. So nothing that takes long or stalls holds up the loop.
"""

import logging
import multiprocessing
import time
from typing import Any, Final

from django.utils import timezone

from catalog.outbox.lanes import Lane
from catalog.outbox.models import Outbox
from catalog.outbox.reasons import INTERRUPTED, took_too_long
from catalog.outbox.services import outbox_put_off, outbox_release
from catalog.records.log_facts import log_facts
from catalog.records.reasons import Reason

logger = logging.getLogger(__name__)

#: Seconds without work after which a process ends.
IDLE: Final = 20.0
#: Most seconds that one piece of periodic work may take; what it left is done the next time.
PERIODIC_SECONDS: Final = 900

#: Forks a process that has the apps loaded, but no connection and no thread.
PROCESSES: Final = multiprocessing.get_context("forkserver")


class WorkProcess:
    """A process, if there is one, and the job it has; what a job is, and what becomes of it, the subclasses say."""

    def __init__(self, name: str, seconds: int) -> None:
        self.name = name
        self.seconds = seconds
        self.job: Any = None
        self.pipe: Any = None
        self._process: Any = None
        self._since = 0.0

    def give(self, job: Any) -> None:
        """Give a job to the process; it is started if there is none.

        When it cannot be started the job is put off, and the error is raised.
        """
        if self.pipe is None:
            try:
                self._start()
            except Exception:
                self.put_off(job, INTERRUPTED)
                raise
        self.job, self._since = job, time.monotonic()
        try:
            self.pipe.send(self.message(job))
        except OSError:  # it died meanwhile
            self._stop(INTERRUPTED)

    def look(self) -> None:
        """Notice what was done, what takes too long, and a process that died or is not needed any more."""
        passed = time.monotonic() - self._since
        if self.pipe is None:
            return
        if self.pipe.poll():
            self._hear()
        elif self.job is not None and passed > self.seconds:
            with log_facts(**self.facts(self.job)):
                logger.error("%s took too long and was stopped", self.job)
            self._stop(took_too_long(self.seconds))
        elif self.job is None and passed > IDLE:
            self.end()

    def end(self) -> None:
        """End the process; the job in progress is released, for the next loop."""
        job = self._forget()
        if job is not None:
            self.release(job)

    def message(self, job: Any) -> Any:
        """Return what the process is sent."""
        return job

    def facts(self, job: Any) -> dict[str, Any]:
        """Return what a line of the log about a job says."""
        return {"work": job}

    def put_off(self, job: Any, why: Reason) -> None:
        """Write down that a job failed."""

    def release(self, job: Any) -> None:
        """Let a job that was interrupted be done again."""

    def _start(self) -> None:
        from config.lane_process import work  # it loads the apps

        ours, theirs = PROCESSES.Pipe()
        process: Any = PROCESSES.Process(target=work, args=(theirs, self.seconds), name=f"outbox {self.name}")
        try:
            process.start()
        except BaseException:  # no memory, no process: there is none, and the next job tries again
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
        job, self.job, self._since = self.job, None, time.monotonic()
        if not done and job is not None:
            # Changes nothing where the process could write the reason itself.
            self.put_off(job, INTERRUPTED)

    def _stop(self, why: Reason) -> None:
        """End the process whose work failed without an answer."""
        job = self._forget()
        if job is not None:
            self.put_off(job, why)

    def _forget(self) -> Any:
        job, self.job = self.job, None
        if self._process is not None:
            self.pipe.close()  # without work it ends by itself
            if job is not None:
                self._process.kill()
            self._process.join()
        self.pipe = self._process = None
        return job


class LaneProcess(WorkProcess):
    """The process of a lane; its jobs are rows of the outbox that the loop claimed."""

    job: Outbox | None

    def __init__(self, lane: Lane) -> None:
        super().__init__(lane.name, lane.seconds)

    def message(self, job: Outbox) -> tuple[int, int]:
        """Name the row, and the attempt for which it was claimed."""
        return job.pk, job.attempts

    def facts(self, job: Outbox) -> dict[str, Any]:
        """Name the row, its document and the request that asked for it."""
        return {"outbox": job.pk, "about": job.about, "request_id": job.request_id}

    def put_off(self, job: Outbox, why: Reason) -> None:
        """Write why the attempt failed, and when the next one is due."""
        outbox_put_off(row=job, why=why, at=timezone.now())

    def release(self, job: Outbox) -> None:
        """Let the row be done at once by the next loop."""
        outbox_release(row=job, at=timezone.now())


class PeriodicProcess(WorkProcess):
    """The process of the periodic work; its jobs are entries of ``settings.PERIODIC_WORK``, done again in time."""

    job: str | None

    def __init__(self) -> None:
        super().__init__("periodic", PERIODIC_SECONDS)
