"""Batches that a quote would share with orders that are promised, and that break the cooling rule only so.

Who knows the orders is above quotes: ``settings.SHARED_BATCHES`` names it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from django.conf import settings
from django.utils.module_loading import import_string

from catalog.cooling.amounts import Units
from costing.chilling import Leg
from costing.contract import Book
from orders.quotes.cooling.measuring_content import Measuring
from orders.quotes.cooling.selectors import Item
from orders.quotes.models import Quote
from orders.records.cooling_errors import BrokenWithThis


@dataclass(frozen=True, slots=True)
class Given:
    """A reason, the user name of whoever gave it, when, and the key of its entry in the history."""

    reason: str
    by: str
    at: datetime
    entry: int


@dataclass(frozen=True, slots=True)
class Void:
    """A reason that counts no more, and by what: other ``orders``, another ``amount``, other ``steps`` or another rule.

    ``numbers`` are those of the orders it was given for, where others share the batch now.
    """

    given: Given
    by: Literal["orders", "amount", "steps"]
    numbers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OtherOrder:
    """An order that is promised: its key, number and name."""

    pk: int
    number: str
    title: str


@dataclass(frozen=True, slots=True)
class SharedBatch:
    """A batch that breaks the rule as it is made for a quote and other orders at once.

    ``mark`` stands for its steps, size and verdict; ``given`` is the reason recorded for just that, ``void`` one that
    counts no more. ``batches`` is in how many it keeps the rule, where that is known. ``alone`` tells that it breaks
    the rule in the quote's own amount too: what is measured of that was recorded for another size. ``legs`` are the
    limits of its rule.
    """

    item: Item
    name: str
    mark: str
    orders: tuple[OtherOrder, ...]
    given: Given | None = None
    void: Void | None = None
    batches: int | None = None
    alone: bool = False
    legs: tuple[Leg, ...] = ()


def shared_batches(quote: Quote, units: Units, book: Book) -> tuple[SharedBatch, ...]:
    """Return what a quote's table breaks only together with orders that are promised; its lines have their products."""
    found: tuple[SharedBatch, ...] = import_string(settings.SHARED_BATCHES)(quote, units, book)
    return found


def shared_open(quote: Quote, units: Units, book: Book) -> tuple[SharedBatch, ...]:
    """Return those of which nothing says what is measured: nobody said it, or of other orders, steps or amounts."""
    return tuple(one for one in shared_batches(quote, units, book) if one.given is None)


def shared_refusal(found: Sequence[SharedBatch]) -> BrokenWithThis:
    """Return the refusal of batches of which nothing says what is measured, with the orders they are made with."""
    numbers = dict.fromkeys(order.number for one in found for order in one.orders)
    return BrokenWithThis(place="together", items=[one.name for one in found], orders=list(numbers))


def shared_reason(quote: Quote, units: Units, book: Book, measuring: Measuring, *, by: str, at: datetime) -> None:
    """Write down in a quote's history what is measured of batches that break the rule together with other orders.

    Nothing where it breaks nothing so.

    Raises OrderError where it lacks a part, or is read later than a limit.
    """
    import_string(settings.SHARED_REASON)(quote, units, book, measuring, by=by, at=at)
