"""A number and its unit stay on one line of a page: 4:00 PM, 41 °F, 2 ½ cups."""

import re
from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Any, Final

NO_BREAK: Final = "\u00a0"
#: A space after a digit or a fraction, before a unit, a degree sign, AM or PM, or the fraction that belongs to it.
_WITHIN: Final = re.compile(r"(?<=[0-9¼½¾⅓⅔⅛⅜⅝⅞]) (?=[^\W\d_]|[°%¼½¾⅓⅔⅛⅜⅝⅞])")


@lru_cache(maxsize=4096)
def unbroken(text: str) -> str:
    """Join each number of a short text to what follows it by a no-break space."""
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
