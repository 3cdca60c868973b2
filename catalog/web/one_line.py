"""A number and its unit stay on one line of a page: 4:00 PM, 41 °F, 2 ½ cups."""

import re
from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Any, Final

from costing.measures.units import ALL

NO_BREAK: Final = "\u00a0"
#: What a number is of, beside the units of ingredients and packs: lengths, times, counts and the months of a date.
_OTHERS: Final = (
    "fl", "mi", "km", "m", "cm", "mm", "in", "ft", "h", "min", "minutes?", "hours?", "days?", "pieces?",
    "[AP]M", "[ap]m", r"[ap]\.m\.",
    "Jan(uary)?|Feb(ruary)?|Mar(ch)?|Apr(il)?|May|June?|July?|Aug(ust)?|Sept?(ember)?|Oct(ober)?|Nov(ember)?|Dec(ember)?",
)  # fmt: skip
_UNITS: Final = "|".join([*(f"{re.escape(unit.name)}(e?s)?" for unit in ALL), *_OTHERS])
#: A space after a digit or a fraction, before a unit, a degree or percent sign, or the fraction that belongs to it.
_WITHIN: Final = re.compile(rf"(?<=[0-9¼½¾⅓⅔⅛⅜⅝⅞]) (?=({_UNITS})(?!\w)|[°%¼½¾⅓⅔⅛⅜⅝⅞])")


@lru_cache(maxsize=4096)
def unbroken(text: str) -> str:
    """Join each number of a short text to its unit by a no-break space: 4:00 PM to 4:45 PM may break after PM."""
    return _WITHIN.sub(NO_BREAK, text)


def on_one_line(write: Callable[..., str]) -> Callable[..., str]:
    """Return a template filter that joins what it writes; to be registered with ``needs_autoescape``.

    Text that is not escaped is no page but a plain mail, whose spaces stay as they are.
    """

    @wraps(write)
    def written(*values: Any, autoescape: bool = True) -> str:
        text = write(*values)
        return unbroken(text) if autoescape else text

    return written
