"""What every line of the log says while something is done: which request it is, which outbox row, which document.

A fact is a number or a code, never a name, an address or a text somebody wrote: the log has no personal data.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from types import MappingProxyType
from typing import Final

Fact = str | int | float | bool

_NONE: Final[Mapping[str, Fact]] = MappingProxyType({})
_facts: ContextVar[Mapping[str, Fact]] = ContextVar("log_facts", default=_NONE)


@contextmanager
def log_facts(**facts: Fact) -> Iterator[None]:
    """Add facts to every line written inside the block (or the decorated function); an empty text adds nothing."""
    token = _facts.set(_with(facts))
    try:
        yield
    finally:
        _facts.reset(token)


def note_log_facts(**facts: Fact) -> None:
    """Add facts that became known inside a block of :func:`log_facts`, until that block ends."""
    _facts.set(_with(facts))


def current_log_facts() -> Mapping[str, Fact]:
    """Return the facts of this moment."""
    return _facts.get()


def _with(facts: Mapping[str, Fact]) -> Mapping[str, Fact]:
    return {**_facts.get(), **{name: fact for name, fact in facts.items() if fact != ""}}
