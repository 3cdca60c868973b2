"""A soak that is stopped ends everything it started."""

import signal
from collections.abc import Callable


def on_stop(end: Callable[[], None]) -> None:
    """Call ``end`` when this process is told to stop, by a signal or at the terminal."""
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, lambda *_: end())
