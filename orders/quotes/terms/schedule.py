"""The amounts of a payment schedule: its deposit, what it asks for, and what a change of the order leaves of it."""

from collections.abc import Sequence
from fractions import Fraction

from catalog.kitchen.payment_schedule import PaymentRow
from costing.money.rounding import half_up


def deposit_of(total_minor: int, share: Fraction, fixed_minor: int | None) -> int:
    """Return the deposit: a share of the total, or a fixed amount, at most all of it."""
    return half_up(total_minor * share) if fixed_minor is None else min(fixed_minor, total_minor)


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
