"""One step of a price list at a time: of two windows, or a window and the outbox, one acts on what it has seen."""

from collections.abc import Collection
from typing import Any

from django.db.models import F

from catalog.price_lists.models import PriceList
from catalog.records.errors import PriceListNotReady
from catalog.records.reasons import Reason


def list_to_change(price_list_id: int, seen: int | None, among: Collection[str]) -> PriceList:
    """Return a list that is changed in this transaction; ``seen`` is its step as the page showed it, None for programs.

    Raises
    ------
    PriceListNotReady
        If its status is another, or something was done to it since.
    """
    price_list = PriceList.objects.select_related("supplier").defer("body").get(pk=price_list_id)
    if price_list.status not in among:
        raise PriceListNotReady(why=Reason(f"list_{price_list.status}"))
    if seen is not None and seen != price_list.step:
        raise PriceListNotReady(why=Reason("list_changed"))
    return price_list


def list_changed(price_list: PriceList, **changes: Any) -> None:
    """Write columns of a list, if nothing was done to it since it was read.

    Raises
    ------
    PriceListNotReady
        If something was.
    """
    as_read = PriceList.objects.filter(pk=price_list.pk, step=price_list.step, status=price_list.status)
    if not as_read.update(step=F("step") + 1, **changes):
        raise PriceListNotReady(why=Reason("list_changed"))
    price_list.step += 1
