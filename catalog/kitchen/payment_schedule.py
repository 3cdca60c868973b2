"""A payment schedule: what is due at approval, before the event, and the balance after the invoice.

The deposit is due some days after the approval. Each row of the schedule is due some days before the event: a share of
the total, an amount, or all that is left. What no row takes is the balance. It is due some days after the invoice; rows
of its own may divide it, each a share of it or an amount that is due earlier: what none of them takes is due then.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from costing.money.rounding import half_up


@dataclass(frozen=True, slots=True)
class PaymentRow:
    """A payment due so many ``days`` before the event: a ``share`` of the total, 0 to 1, or an amount in minor units.

    With neither it is all that is left of the total. One that divides the balance is due so many days after the
    invoice, and its share is of what that leaves to pay.
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
        PaymentRow(int(row["days"]), Decimal(row["share"]) if row.get("share") else None, row.get("amount_minor"))
        for row in stored or ()
    )
    return tuple(sorted(rows, key=lambda row: -row.days))


def after_read(stored: Iterable[Mapping[str, Any]] | None) -> tuple[PaymentRow, ...]:
    """Read what divides the balance from JSON, what is due first first."""
    return tuple(reversed(payments_read(stored)))


def payments_stored(rows: Iterable[PaymentRow]) -> list[dict[str, Any]]:
    """Return a schedule as JSON, what is due first first."""
    return [_stored(row) for row in sorted(rows, key=lambda row: -row.days)]


def after_stored(rows: Iterable[PaymentRow]) -> list[dict[str, Any]]:
    """Return what divides the balance as JSON, what is due first first."""
    return payments_stored(rows)[::-1]


def _stored(row: PaymentRow) -> dict[str, Any]:
    share = {} if row.share is None else {"share": format(row.share, "f")}
    amount = {} if row.amount_minor is None else {"amount_minor": row.amount_minor}
    return {"days": row.days, **share, **amount}


def most_deposit(rows: Iterable[PaymentRow]) -> Decimal:
    """Return the most that a deposit may be beside the shares of these rows [share of the total]."""
    return 1 - sum((row.share or Decimal(0) for row in rows), Decimal(0))


def amounts_of(
    total_minor: int, deposit_minor: int, rows: Sequence[PaymentRow], *, share: Fraction = Fraction(0)
) -> list[int]:
    """Return the amounts of the rows, in their order; ``share`` is what of the total the deposit is, if it is one.

    Shares are rounded together: each row ends where its shares so far end of the total, rounded half up, so that rows
    that share all of it leave nothing over. None takes more than is left.
    """
    amounts: list[int] = []
    left = total_minor - deposit_minor
    for row in rows:
        if row.share is not None:
            before, share = share, share + Fraction(row.share)
            amount = half_up(total_minor * share) - half_up(total_minor * before)
        else:
            amount = left if row.amount_minor is None else row.amount_minor
        amounts.append(max(0, min(amount, left)))
        left -= amounts[-1]
    return amounts


@dataclass(frozen=True, slots=True)
class AfterInvoice:
    """A payment so many days after the invoice; the amount in minor units."""

    days: int
    amount_minor: int


def after_invoice(balance_minor: int, rows: Sequence[PaymentRow], *, last_days: int) -> tuple[AfterInvoice, ...]:
    """Divide a balance by the rows, what is due first first; what none of them takes is due after ``last_days``.

    Nothing that is due is one payment of nothing.
    """
    every = [*rows, PaymentRow(last_days)]
    found = zip(every, amounts_of(balance_minor, 0, every), strict=True)
    parts = tuple(AfterInvoice(row.days, amount) for row, amount in found if amount)
    return parts or (AfterInvoice(last_days, balance_minor),)


@dataclass(frozen=True, slots=True)
class ReadySchedule:
    """A schedule that is picked with one click; without a ``deposit`` the share that is entered stays.

    ``after`` divides the balance; without ``balance_days`` those that are entered stay.
    """

    code: str
    rows: tuple[PaymentRow, ...] = ()
    deposit: Decimal | None = None
    after: tuple[PaymentRow, ...] = ()
    balance_days: int | None = None


#: So fine that a third of any usual total is a third to the cent.
THIRD: Final = Decimal("0.3333333")
#: Paid in full two weeks before a wedding, and three equal parts, are common practice, no source; the days are ours.
READY: Final[Mapping[str, ReadySchedule]] = {
    one.code: one
    for one in (
        ReadySchedule("after_invoice"),
        ReadySchedule("before_event", (PaymentRow(14),)),
        ReadySchedule("thirds", (PaymentRow(60, THIRD), PaymentRow(14)), THIRD),
        ReadySchedule("halves_after", after=(PaymentRow(14, Decimal("0.5")),), balance_days=45),
    )
}
