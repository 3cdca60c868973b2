"""One step of a price list at a time (`catalog.records.steps`)."""

from collections.abc import Collection
from typing import Any

from catalog.price_lists.models import PriceList
from catalog.records.errors import PriceListNotReady
from catalog.records.reasons import Reason
from catalog.records.steps import row_changed, row_to_change


def list_to_change(price_list_id: int, seen: int | None, among: Collection[str]) -> PriceList:
    """Return a list that is changed in this transaction; ``seen`` is its step as the page showed it, None for programs.

    Raises
    ------
    PriceListNotReady
        If its status is another, or something was done to it since.
    """
    rows = PriceList.objects.select_related("supplier").defer("body")
    return row_to_change(rows, price_list_id, seen, among, _refused, "list")


def list_changed(price_list: PriceList, **changes: Any) -> None:
    """Write columns of a list, if nothing was done to it since it was read.

    Raises
    ------
    PriceListNotReady
        If something was.
    """
    row_changed(price_list, _refused, "list", **changes)


def _refused(why: Reason) -> PriceListNotReady:
    return PriceListNotReady(why=why)
