"""What follows from a text or a file alone and was found in it before: the same, whoever asks.

Every table, quote and page reads the names and notes of the same few desserts for claims and needs, dozens of times in
a test; and an uploaded file is read by a process of its own, which takes longer to start than to read it. What was
found is known for the tests that follow; where a test put something else in the place of code it is found anew.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache, wraps
from types import ModuleType
from typing import Any, Final

from catalog.pantry import kind_words, name_words
from catalog.products import claims
from catalog.records import confined
from tests import remembered

#: The module of a function, its name, what is stored of what it returns, and how that is given again.
FUNCTIONS: Final[tuple[tuple[ModuleType, str, Callable[[Any], Any], Callable[[Any], Any]], ...]] = (
    (kind_words, "kinds_named", tuple, tuple),
    (kind_words, "foods_named", tuple, tuple),
    (name_words, "allergens_named", tuple, tuple),
    (claims, "claims_in", tuple, iter),
    (confined, "answer_of", bytes, bytes),
)
#: So much is known of each function at most.
MOST: Final = 10_000
_PRODUCT: Final = ("catalog.", "orders.")


@cache
def _known(find: Callable[..., Any], stored: Callable[[Any], Any], given: Callable[[Any], Any]) -> Callable[..., Any]:
    found: dict[tuple[object, ...], Any] = {}

    @wraps(find)
    def known(*asked: Any, **options: Any) -> Any:
        if remembered.replaced:
            return find(*asked, **options)
        if asked not in found:
            if len(found) >= MOST:
                found.clear()
            found[asked] = stored(find(*asked, **options))
        return given(found[asked])

    return known


@contextmanager
def found_once() -> Iterator[None]:
    """Let the product know what it found before; a test that calls one of the functions itself has it found."""
    modules = [module for name, module in [*sys.modules.items()] if name.startswith(_PRODUCT)]
    changed = []
    for home, name, stored, given in FUNCTIONS:
        find = getattr(home, name)
        users = [module for module in modules if vars(module).get(name) is find]
        changed += [(module, name, find, _known(find, stored, given)) for module in users]
    for module, name, _, known in changed:
        setattr(module, name, known)
    yield
    for module, name, find, _ in changed:
        setattr(module, name, find)
