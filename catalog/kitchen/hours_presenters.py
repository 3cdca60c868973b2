"""What was promised for times at which nobody works any more, in words."""

from collections.abc import Sequence
from datetime import date
from typing import Final, Protocol

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.web import display

#: What is outside the hours -> its words.
_WHAT: Final = {
    "pickup": marked("%(order)s: pickup on %(day)s"),
    "delivery": marked("%(order)s: delivery on %(day)s"),
    "work": marked("%(order)s: work planned on %(day)s"),
}


class Promised(Protocol):
    """Promised work outside the hours: an order's name, the day, and what: ``pickup``, ``delivery`` or ``work``."""

    @property
    def name(self) -> str: ...
    @property
    def day(self) -> date: ...
    @property
    def what(self) -> str: ...


def promised_line(one: Promised) -> str:
    """Write one order, and what of it is outside the hours."""
    return gettext(_WHAT[one.what]) % {"order": one.name, "day": display.day_alone(one.day)}


def promised_words(found: Sequence[Promised]) -> str:
    """Write all of it in one message."""
    lines = "; ".join(map(promised_line, found))
    return gettext("Promised outside these hours: %(orders)s. Nothing was changed in these orders.") % {"orders": lines}
