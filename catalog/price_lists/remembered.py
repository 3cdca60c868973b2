"""What a supplier's price lists call an ingredient, remembered for its next lists."""

from collections.abc import Mapping
from typing import Any

from catalog.price_lists.models import PriceList
from catalog.price_lists.names import tidy

Row = dict[str, Any]


def names_remember(price_list: PriceList, done: Mapping[int, Row]) -> list[str]:
    """Remember what the supplier calls the ingredients of corrected rows; return the words that are new.

    ``done`` are rows by their numbers in the file. A price that stays as it is names its ingredient as well as one that
    changes. It has no transaction of its own.
    """
    corrected = {
        tidy(line["was"]): done[line["row"]]
        for line in price_list.lines
        if line["row"] in done and line.get("was", "").strip()
    }
    new = {words: row["ingredient"] for words, row in corrected.items() if words != tidy(row["name"])}
    supplier = price_list.supplier
    if new:
        supplier.item_names = {**supplier.item_names, **new}
        supplier.save(update_fields=["item_names"])
    return list(new)
