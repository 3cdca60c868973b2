"""CPU time of work: of this process, and of the PostgreSQL process that serves it where it can be read."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

RUNS = 7


def cpu() -> float:
    """Return the CPU time used so far [s]: this process and, on this machine, its PostgreSQL server process."""
    return time.process_time() + _server()


def _server() -> float:
    from django.db import connection

    if connection.vendor != "postgresql":
        return 0.0
    connection.ensure_connection()
    file = Path(f"/proc/{connection.connection.info.backend_pid}/schedstat")
    try:
        return int(file.read_text().split()[0]) / 1e9
    except OSError:
        return 0.0


def median_ms(work: Callable[[], Any], runs: int = RUNS) -> float:
    """Return the median CPU time of some work [ms], after one round to warm up."""
    work()
    return median(_timed(work) for _ in range(runs))


def _timed(work: Callable[[], Any]) -> float:
    begun = cpu()
    work()
    return (cpu() - begun) * 1000
