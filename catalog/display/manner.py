"""The kitchen's manner of writing: locale, measures, time zone. Set per request or per piece of work."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone


@dataclass(frozen=True, slots=True)
class Manner:
    """What display needs to know of the kitchen's profile."""

    name: str = "Your kitchen"
    email: str = ""
    phone: str = ""
    locale: str = "en_US"
    time_zone: str = "America/New_York"
    currency: str = "USD"
    measures: str = "us"
    degrees: str = "F"
    distance: str = "km"
    paper: str = "Letter"
    allergen_list: str = "us"
    prices: str = "net"
    tax_name: str = "Sales tax"


_manner: ContextVar[Manner | None] = ContextVar("coldset_manner", default=None)


def current() -> Manner:
    """Return the manner in use, or the defaults where none was set."""
    return _manner.get() or Manner()


def manner_of(kitchen: Any) -> Manner:
    """Return the manner of a kitchen's profile."""
    return Manner(**{field.name: getattr(kitchen, field.name) for field in fields(Manner)})


@contextmanager
def use(manner: Manner) -> Iterator[Manner]:
    """Write in this manner, and show times in its zone, inside the block."""
    token = _manner.set(manner)
    try:
        with timezone.override(ZoneInfo(manner.time_zone)):
            yield manner
    finally:
        _manner.reset(token)


@contextmanager
def kitchen_display(kitchen: Any) -> Iterator[Manner]:
    """Write in the manner of this kitchen inside the block; for workers, mail and PDFs."""
    with use(manner_of(kitchen)) as manner:
        yield manner
