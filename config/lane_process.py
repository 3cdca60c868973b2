"""The process that does the work of one lane of the outbox, or the periodic work, piece by piece as the loop gives it.

It is forked from a process that has this module loaded (:mod:`multiprocessing`'s fork server), so that it starts within
milliseconds. It ends when the loop does: its pipe is closed then, even if the loop was killed. Work in progress may end
before, within its lane's limit, which an alarm keeps when the loop is not there to do so.
"""

import logging
import signal
from multiprocessing.connection import Connection
from typing import Final

import django

django.setup()

from django.db import close_old_connections  # after the set-up
from django.utils import timezone

from catalog.outbox.models import Outbox
from catalog.outbox.periodic import periodic_work
from catalog.outbox.services import outbox_work

logger = logging.getLogger(__name__)

#: What the loop sends: a row's number, and the attempt for which it claimed the row.
Claim = tuple[int, int]
#: Or the name of periodic work.
Job = Claim | str
#: Seconds after the lane's limit in which the loop, if it is there, stops the work and writes why.
_GRACE: Final = 5


def work(pipe: "Connection[bool, Job]", seconds: int) -> None:
    """Do each job, for that long at most, and answer whether it is done, until the pipe is closed."""
    # Ctrl-C at the terminal is for the loop, which lets the work in progress end.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    while True:
        try:
            job = pipe.recv()
        except (EOFError, OSError):
            return
        signal.alarm(seconds + _GRACE)  # ends the process
        done = _periodic_done(job) if isinstance(job, str) else _done(*job)
        signal.alarm(0)
        try:
            pipe.send(done)
        except OSError:  # the loop was killed; the outcome is in the row
            return


def _done(row_id: int, attempts: int) -> bool:
    close_old_connections()
    try:
        row = Outbox.objects.filter(pk=row_id, status=Outbox.Status.RUNNING, attempts=attempts).first()
        return row is not None and outbox_work(row=row, at=timezone.now())
    except Exception:  # the database went away: the loop schedules the row again
        logger.exception("outbox row %s, attempt %s: its outcome could not be written", row_id, attempts)
        return False
    finally:
        close_old_connections()


def _periodic_done(path: str) -> bool:
    close_old_connections()
    try:
        periodic_work(path)
    except Exception:  # it is done again in its time
        logger.exception("%s failed", path)
        return False
    finally:
        close_old_connections()
    return True
