"""What is loaded at the start is not walked again and again."""

import subprocess
import sys

from config.collector import THRESHOLDS

_PROGRAM = """
import gc
from config.collector import settle
loaded = len(gc.get_objects())
settle()
print(gc.get_freeze_count() > 0.9 * loaded, gc.isenabled(), *gc.get_threshold())
"""


def test_what_is_loaded_is_spared_and_collections_go_on_but_rarer() -> None:
    printed = subprocess.run([sys.executable, "-c", _PROGRAM], capture_output=True, text=True, check=True, timeout=60)
    assert printed.stdout.split() == ["True", "True", *map(str, THRESHOLDS)]
