"""Amounts added up by what they belong to."""

from __future__ import annotations

from collections.abc import Iterable


def sum_by_code(amounts: Iterable[tuple[str, int]]) -> dict[str, int]:
    """Add up amounts by their tax code.

    Parameters
    ----------
    amounts : iterable of (str, int)
        Code of the tax, and what is charged under it [minor units].

    Returns
    -------
    dict of str to int
        Sums by code, in the order in which the codes came first [minor units].
    """
    sums: dict[str, int] = {}
    for code, amount in amounts:
        sums[code] = sums.get(code, 0) + amount
    return sums
