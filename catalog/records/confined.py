"""A process of its own for what somebody uploaded, with a limit of time and memory that no file can pass.

It gets the file's bytes and nothing else: no settings, no secrets, no database. What ends it from outside (the limit, a
crash of a parser or decoder) is the file's fault; a process that cannot be started is not. A program for it is a module
with a ``main()`` that calls :func:`limit` before it reads, and knows nothing of Django.
"""

import resource
import signal
import subprocess
import sys
from pathlib import Path
from typing import Final

#: What reading ends in where memory ends: the second where it ends in a part of Python that has no error to set.
NO_ROOM: Final = (MemoryError, SystemError)

_ROOT: Final = Path(__file__).resolve().parents[2]


class TooMuch(Exception):
    """The file took more time or memory than the process has, or crashed what read it."""


def answer_of(module: str, argument: str, body: bytes, *, patience: float) -> bytes:
    """Return what a module's program writes about a file.

    ``patience`` is how long it is waited for [s], on the clock.

    Raises
    ------
    TooMuch
        If a limit ended it, or a crash.
    RuntimeError
        If it failed for a reason of its own.
    """
    try:
        ended = subprocess.run(  # noqa: S603 - a module of this program; the file is its input
            [sys.executable, "-m", module, argument],
            input=body,
            capture_output=True,
            timeout=patience,
            cwd=_ROOT,
            env={"PYTHONPATH": str(_ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise TooMuch from None
    if ended.returncode < 0:
        raise TooMuch
    if ended.returncode:
        raise RuntimeError(ended.stderr.decode(errors="replace")[-300:])
    return ended.stdout


def limit(*, seconds: float, memory: int) -> None:
    """End this process when it computes longer than ``seconds``, also inside a parser; refuse it more ``memory`` [B].

    macOS has no such limit of memory: there the reader's own limits hold.
    """
    signal.setitimer(signal.ITIMER_PROF, seconds)
    _, most = resource.getrlimit(resource.RLIMIT_DATA)
    if most == resource.RLIM_INFINITY or most > memory:
        resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))
