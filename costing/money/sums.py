"""Sums of amounts by tax code."""

from __future__ import annotations

from collections.abc import Iterable


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
