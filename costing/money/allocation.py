"""Sums of amounts by tax code, and splits whose parts add up to the whole: the method of largest remainder."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction


def allocate(amount: int, weights: Mapping[str, Fraction] | Mapping[str, int]) -> dict[str, int]:
    """Split whole minor units in proportion to weights, so that the parts add up to the whole.

    Parameters
    ----------
    amount : int
        What is split [minor units]; may be negative.
    weights : mapping of str to Fraction or int
        Weights by name, none negative; at least one name.

    Returns
    -------
    dict of str to int
        Parts by name in alphabetical order [minor units]. Each gets its share rounded down on the absolute
        amount; units left over go to the largest remainders, ties to the name that is first in alphabetical order.
        When every weight is zero, all goes to the first name in alphabetical order.

    References
    ----------
    The method of largest remainder (Hamilton); the tie rule is this project's own.
    """
    names = sorted(weights)
    whole, sign = abs(amount), -1 if amount < 0 else 1
    total = sum(weights.values())
    if not total or len(names) == 1:
        return {name: amount if name == names[0] else 0 for name in names}
    parts = _largest_remainder(whole, [whole * weights[name] for name in names], total)
    return {name: sign * part for name, part in zip(names, parts, strict=True)}


def round_to_total(total: int, exact: Sequence[Fraction]) -> list[int]:
    """Round exact amounts to whole minor units, so that together they give a total.

    Parameters
    ----------
    total : int
        What the rounded amounts have to add up to [minor units]; may be negative.
    exact : sequence of Fraction
        The exact amounts [minor units], of any sign; empty only for a total of zero.

    Returns
    -------
    list of int
        In the order given [minor units]. Each amount is rounded down; units left over go to the largest remainders,
        ties to the amount listed first. Where the total differs from the exact sum by more than rounding can,
        every amount takes an equal share of the difference first.

    Raises
    ------
    ValueError
        When the total is not zero and there are no amounts.

    References
    ----------
    The method of largest remainder (Hamilton); the tie rule is this project's own.
    """
    if not exact and total:
        raise ValueError(f"There is no amount that {total} could be split over.")
    return _largest_remainder(total, exact, 1)


def _largest_remainder(total: int, numerators: Sequence[Fraction | int], denominator: Fraction | int) -> list[int]:
    """Round quotients to whole numbers that add up to a total; ties go to the one listed first."""
    floors = [int(numerator // denominator) for numerator in numerators]
    if not floors:
        return []
    each, some = divmod(total - sum(floors), len(floors))
    by_remainder = sorted(range(len(floors)), key=lambda i: (floors[i] * denominator - numerators[i], i))
    for i in by_remainder[:some]:
        floors[i] += 1
    return [floor + each for floor in floors] if each else floors


def sum_by_code(amounts: Iterable[tuple[str, int]]) -> dict[str, int]:
    """Sum amounts by tax code.

    Parameters
    ----------
    amounts : iterable of (str, int)
        Tax code, and an amount charged under it [minor units].

    Returns
    -------
    dict of str to int
        Sums by code, in order of the codes' first appearance [minor units].
    """
    sums: dict[str, int] = {}
    for code, amount in amounts:
        sums[code] = sums.get(code, 0) + amount
    return sums
