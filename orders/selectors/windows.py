"""When the desserts of a table can be ready, against the window asked for."""

from dataclasses import dataclass

from catalog.models import Kitchen
from orders.briefs import Table
from orders.models import Enquiry


@dataclass(frozen=True, slots=True)
class WindowAnswer:
    """Whether the window can be kept, in words."""

    fits: bool
    sentence: str
    instead: str = ""


def window_answer(table: Table, *, enquiry: Enquiry, kitchen: Kitchen) -> WindowAnswer | None:
    """Return whether the table can be ready by the window."""
    return None
