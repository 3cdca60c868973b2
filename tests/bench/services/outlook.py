"""What the figures of one kitchen say about the next bottleneck, and about 1,000 such kitchens. Nothing is guessed.

The load is what was filled in: 100,000 orders in ten years, three documents and two payments each. Every page that was
measured is shown once for each order, which is more than anybody looks.
"""

from __future__ import annotations

import resource
from collections.abc import Mapping

KITCHENS, YEARS, DAYS, HOURS = 1000, 10, 365, 8


def outlook(pages: Mapping[str, float], buttons: Mapping[str, float], approval: float, orders: int) -> list[str]:
    """Compute it from CPU times [ms]."""
    deeds = approval + 3 * buttons["issuing an invoice"] + 2 * buttons["recording a payment"]
    shown = sum(pages.values())
    slowest = sorted(pages, key=lambda name: -pages[name])[:3]
    a_day = orders / (YEARS * DAYS)
    cores = KITCHENS * a_day * (deeds + shown) / 1000 / (HOURS * 3600)
    worker = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    size = _size() / 2**30
    return [
        f"An order takes {deeds:.0f} ms of CPU for its approval, documents and payments, and {shown:.0f} ms for each "
        f"page once; the slowest pages: {', '.join(f'{name} ({pages[name]:.0f} ms)' for name in slowest)}.",
        f"1,000 such kitchens: {KITCHENS * a_day:,.0f} orders a day, {cores:.1f} cores in {HOURS} hours of work (PDFs "
        f"and mail not counted); {KITCHENS * size:,.0f} GiB on disk after {YEARS} years; with a database and one "
        f"process of {worker:.0f} MiB each, {KITCHENS * worker / 1024:,.0f} GiB of memory.",
        "So the next bottleneck of many kitchens is "
        + ("memory: processes that wait, not work." if worker / 1024 * KITCHENS / 4 > cores else "CPU.")
        + " (4 GiB a core)",
    ]


def _size() -> int:
    """Return the database's size [bytes]."""
    from pathlib import Path

    from django.db import connection

    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_database_size(current_database())")
            return int(cursor.fetchone()[0])
    return Path(connection.settings_dict["NAME"]).stat().st_size
