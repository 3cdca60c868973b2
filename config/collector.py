"""The garbage collector of a process that keeps the kitchen's Book.

With Python's own thresholds a few keystrokes of the live estimate make enough objects for a full collection, which
walks the whole Book of a large kitchen: one keystroke in twelve took 120 ms longer. What is loaded at the start stays,
and is never walked again; what comes later is walked after many more objects.
"""

import gc
from typing import Final

#: Objects made before the youngest are looked through; collections of one generation before one of the next.
THRESHOLDS: Final = (10_000, 20, 20)


def settle() -> None:
    """Spare what is loaded now from collections, and make them rarer: once, when a process is ready for requests."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*THRESHOLDS)
