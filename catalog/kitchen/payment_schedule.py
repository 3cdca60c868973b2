"""A payment schedule: what is due at approval, before the event, and the balance after the invoice.

The deposit is due some days after the approval. Each row of the schedule is due some days before the event: a share of
the total, an amount, or all that is left. What no row takes is the balance, due after the invoice.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final


@dataclass(frozen=True, slots=True)
class PaymentRow:
    """A payment due so many ``days`` before the event: a ``share`` of the total, 0 to 1, or an amount in minor units.

    With neither it is all that is left of the total.
    """

    days: int
    share: Decimal | None = None
    amount_minor: int | None = None

    @property
    def takes_the_rest(self) -> bool:
        """Whether it is all that is left of the total."""
        return self.share is None and self.amount_minor is None


def payments_read(stored: Iterable[Mapping[str, Any]] | None) -> tuple[PaymentRow, ...]:
    """Read a schedule from JSON, what is due first first."""
    rows = (
        PaymentRow(int(row["days"]), Decimal(row["share"]) if "share" in row else None, row.get("amount_minor"))
        for row in stored or ()
    )
    return tuple(sorted(rows, key=lambda row: -row.days))


def payments_stored(rows: Iterable[PaymentRow]) -> list[dict[str, Any]]:
    """Return a schedule as JSON, what is due first first."""
    return [_stored(row) for row in sorted(rows, key=lambda row: -row.days)]


def _stored(row: PaymentRow) -> dict[str, Any]:
    share = {} if row.share is None else {"share": format(row.share, "f")}
    amount = {} if row.amount_minor is None else {"amount_minor": row.amount_minor}
    return {"days": row.days, **share, **amount}


def most_deposit(rows: Iterable[PaymentRow]) -> Decimal:
    """Return the most that a deposit may be beside the shares of these rows [share of the total]."""
    return 1 - sum((row.share or Decimal(0) for row in rows), Decimal(0))


@dataclass(frozen=True, slots=True)
class ReadySchedule:
    """A schedule that is picked with one click; without a ``deposit`` the share that is entered stays."""

    code: str
    rows: tuple[PaymentRow, ...] = ()
    deposit: Decimal | None = None


#: So fine that a third of any usual total is a third to the cent.
THIRD: Final = Decimal("0.3333333")
#: Paid in full two weeks before a wedding, and three equal parts, are common practice, no source; the days are ours.
READY: Final[Mapping[str, ReadySchedule]] = {
    one.code: one
    for one in (
        ReadySchedule("after_invoice"),
        ReadySchedule("before_event", (PaymentRow(14),)),
        ReadySchedule("thirds", (PaymentRow(60, THIRD), PaymentRow(14)), THIRD),
    )
}
