"""Prices of a list that replace one recorded for the same day, and how they are put back."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any, Final

from catalog.pantry.models import Pack
from catalog.records.errors import PackDatesOverlap
from catalog.records.reasons import Reason

Row = dict[str, Any]
#: What an import replaced: the key of a price's row, the price before and the price since, as texts.
Replaced = list[list[Any]]
#: Most rows that one statement writes.
_BATCH: Final = 100


def prices_replace(rows: Sequence[Row], starts: date) -> Replaced:
    """Write the prices of rows that replace one of the same day, ``starts``, inside the caller's transaction.

    Raises
    ------
    PackDatesOverlap
        If such a price is not what it was when the row was compared.
    """
    wanted: dict[int, Row] = {row["replaces"]: row for row in rows}
    packs = {pack.pk: pack for pack in Pack.objects.select_for_update(of=("self",)).filter(pk__in=wanted)}
    for pk, row in wanted.items():
        pack = packs.get(pk)
        if pack is None or pack.ends is not None or pack.price != Decimal(row["before"]):
            raise PackDatesOverlap(place="starts", size=row["size"], day=starts)
        pack.price = Decimal(row["price"])
    Pack.objects.bulk_update(packs.values(), ["price"], batch_size=_BATCH)
    return [[pk, row["before"], row["price"]] for pk, row in wanted.items()]


def prices_put_back(replaced: Replaced) -> tuple[int, list[Reason]]:
    """Put back the prices that imports replaced, unless corrected since; return how many, and what stays and why."""
    wanted = {pk: (Decimal(before), Decimal(since)) for pk, before, since in replaced}
    back, left = [], []
    for pack in Pack.objects.select_for_update(of=("self",)).select_related("ingredient").filter(pk__in=wanted):
        before, since = wanted[pack.pk]
        if pack.price != since:
            left.append(Reason("price_corrected", {"name": pack.ingredient.name, "size": pack.size}))
            continue
        pack.price = before
        back.append(pack)
    Pack.objects.bulk_update(back, ["price"], batch_size=_BATCH)
    return len(back), left
