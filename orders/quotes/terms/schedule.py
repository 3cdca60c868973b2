"""The amounts of a payment schedule: whole minor units that add up to the total, whatever the shares.

Plain Python. Shares are rounded together: each row ends where its shares so far end of the total, rounded half up, so
that rows that share all of it leave nothing over.
"""

from collections.abc import Sequence
from fractions import Fraction

from catalog.kitchen.payment_schedule import PaymentRow
from costing.money.rounding import half_up


def deposit_of(total_minor: int, share: Fraction, fixed_minor: int | None) -> int:
    """Return the deposit: a share of the total, or a fixed amount, at most all of it."""
    return half_up(total_minor * share) if fixed_minor is None else min(fixed_minor, total_minor)


def amounts_of(
    total_minor: int, deposit_minor: int, rows: Sequence[PaymentRow], *, share: Fraction = Fraction(0)
) -> list[int]:
    """Return the amounts of the rows, in their order; ``share`` is what of the total the deposit is, if it is one.

    None takes more than is left.
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


def asked_of(total_minor: int, deposit_minor: int, rows: Sequence[PaymentRow]) -> int:
    """Return what the deposit and the rows ask for together, also where it is more than the total."""
    amounts = (row.amount_minor or half_up(total_minor * Fraction(row.share or 0)) for row in rows)
    return deposit_minor + sum(amounts)


def amounts_amended(agreed: Sequence[int], total_minor: int, *, was_minor: int, last_open: bool) -> list[int]:
    """Return the amounts of an order's payments before its invoice, the deposit first, once its total is another.

    What was agreed stays, and the balance takes the difference. Where the payments are the whole, there is none: the
    last one takes it, unless it is due already (not ``last_open``). Where the total is less than the payments, the last
    ones are cut first.
    """
    amounts = list(agreed)
    if len(amounts) > 1 and last_open and sum(amounts) == was_minor and total_minor > was_minor:
        amounts[-1] += total_minor - was_minor
    over = sum(amounts) - total_minor
    for place in reversed(range(len(amounts))):
        cut = min(max(over, 0), amounts[place])
        amounts[place] -= cut
        over -= cut
    return amounts
