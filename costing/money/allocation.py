"""Amounts split so that the parts add up to the whole (largest remainder)."""

from __future__ import annotations

from collections.abc import Mapping
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
        amount; units left over go to the largest remainders, ties to the name that is first in the alphabet.
        When every weight is zero, all goes to the first name in the alphabet.

    References
    ----------
    The method of largest remainder (Hamilton); the tie rule is this project's own.
    """
    names = sorted(weights)
    whole, sign = abs(amount), -1 if amount < 0 else 1
    total = sum(weights.values())
    if not total or len(names) == 1:
        return {name: amount if name == names[0] else 0 for name in names}
    parts = {name: int(whole * weights[name] // total) for name in names}
    left = whole - sum(parts.values())
    by_remainder = sorted(names, key=lambda name: (parts[name] * total - whole * weights[name], name))
    for name in by_remainder[:left]:
        parts[name] += 1
    return {name: sign * parts[name] for name in names}
