"""The kinds of reminder: what each is about, on which day, and which fields its text may hold."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

#: Fields that every reminder's text may hold.
_COMMON: Final = ("customer", "event", "event_day", "number", "day", "kitchen")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of reminder.

    ``document`` is what it is about: "quote", "order" or "invoice". It goes out some days before its day, or after it
    where it is ``late``; ``days`` is how many at first [days]. ``fields`` are those of its text.
    """

    code: str
    document: str
    late: bool
    days: int
    fields: tuple[str, ...] = _COMMON

    @property
    def money(self) -> bool:
        """Whether it asks for money."""
        return "amount" in self.fields


_MONEY: Final = (*_COMMON, "amount")
#: In the order in which they come in the life of an order. The days at first are a choice of this project.
KINDS: Final[Mapping[str, Kind]] = {
    kind.code: kind
    for kind in (
        Kind("validity", "quote", late=False, days=3),
        Kind("deposit_due", "order", late=False, days=2, fields=_MONEY),
        Kind("deposit_late", "order", late=True, days=3, fields=_MONEY),
        Kind("scheduled_due", "order", late=False, days=3, fields=_MONEY),
        Kind("scheduled_late", "order", late=True, days=3, fields=_MONEY),
        Kind("final_count", "order", late=False, days=3),
        Kind("payment_due", "invoice", late=False, days=2, fields=_MONEY),
        Kind("payment_late", "invoice", late=True, days=5, fields=_MONEY),
        Kind("things_out", "order", late=True, days=2, fields=(*_COMMON, "things")),
    )
}
#: Most days before or after.
MOST_DAYS: Final = 60
