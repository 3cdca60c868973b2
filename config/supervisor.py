"""Keeps the parts of the service running: a part that dies is started again, alone, and the others go on.

After each death in a row it waits longer, so that a part that cannot start does not keep the machine busy.
"""

import logging
import os
import signal
import subprocess
import time
from collections.abc import Callable
from contextlib import suppress
from typing import Final

logger = logging.getLogger(__name__)

Process = subprocess.Popen[bytes]

#: Seconds until a part is started again, after the first, second... death in a row; then always the last.
WAITS: Final = (0.5, 1.0, 2.0, 5.0, 10.0, 30.0)
#: A part that ran for so many seconds was well: the next death is a first one again.
WELL: Final = 60.0
#: Seconds that a part has to end.
_PATIENCE: Final = 15


class Part:
    """A part of the service: what starts it, and its process."""

    def __init__(self, name: str, start: Callable[[], Process]) -> None:
        self.name = name
        self._start = start
        self._deaths = 0
        self._since = time.monotonic()
        self._again = 0.0
        self.process: Process | None = start()

    def look(self, *, now: float) -> None:
        """Notice when it died, and start it again in time."""
        if self.process is not None:
            if self.process.poll() is not None:
                self._note_death(self.process, now)
        elif now >= self._again:
            self._since = now
            try:
                self.process = self._start()
            except OSError:  # no memory, no process
                logger.exception("%s cannot be started", self.name)
                self._put_off(now)

    def end(self) -> None:
        """Ask it to end."""
        if self.process is not None:
            self.process.terminate()

    def wait(self) -> None:
        """Wait until it ended, and kill what does not end."""
        if self.process is None:
            return
        try:
            self.process.wait(timeout=_PATIENCE)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def _note_death(self, process: Process, now: float) -> None:
        if now - self._since >= WELL:
            self._deaths = 0
        logger.error("%s ended with status %s; it is started again", self.name, process.returncode)
        # Workers that outlive it end with the work they have; they would keep its port.
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGTERM)
        self.process = None
        self._put_off(now)

    def _put_off(self, now: float) -> None:
        self._again = now + WAITS[min(self._deaths, len(WAITS) - 1)]
        self._deaths += 1
