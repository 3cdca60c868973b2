"""The heads of a price list's columns, as suppliers write them (common practice, no source). It needs no Django."""

import re
from collections.abc import Mapping, Sequence
from typing import Final

from catalog.price_lists.table import NEEDED, Choice

#: Words of a head that mean another, or nothing.
_WORDS: Final[Mapping[str, str]] = {
    "number": "no", "num": "no", "nr": "no", "desc": "description", "descr": "description", "prod": "product",
    "pk": "pack", "sz": "size", "cs": "case", "ctn": "case", "um": "uom",
    "usd": "", "eur": "", "gbp": "", "net": "", "your": "", "our": "", "current": "", "per": "", "of": "", "the": "",
}  # fmt: skip
#: Names a column may have, by its content: the first of them that a head row has is taken.
HEADS: Final[Mapping[str, tuple[str, ...]]] = {
    "item": (
        "description", "item_description", "description_item", "product_description", "product_name", "item_name",
        "ingredient", "product", "article", "artikel",
        "artikelbezeichnung", "bezeichnung", "zutat", "item", "name", "code", "item_code", "product_code", "item_no",
        "product_no", "article_no", "no_item", "sku",
    ),
    "pack": (
        "pack_size", "size_pack", "packsize", "pack_and_size", "case_pack", "packing", "packaging", "package", "pack",
        "case_size", "size", "unit_size", "unit", "gebinde", "gebindegröße", "verpackung",
    ),
    "size": ("size", "unit_size", "item_size", "each_size", "unit", "uom", "unit_measure"),
    "price": (
        "case_price", "price_case", "pack_price", "price_pack", "case_cost", "cost_case", "pack_cost", "price", "cost",
        "preis", "unit_price", "unit_cost", "price_unit", "price_each", "each_price",
    ),
}  # fmt: skip
#: Heads that may mean the price of one piece of a pack.
PIECE_PRICES: Final = frozenset({"unit_price", "unit_cost", "price_unit", "price_each", "each_price"})
#: Columns of a pack that can be a bare number, beside the size of one piece.
_COUNTS: Final = frozenset({"case_pack", "packing", "packaging", "package", "pack", "pack_size"})


def head_name(cell: str) -> str:
    """Return a head in plain words, joined: `item_no` for `Item #`, `price_case` for `Price per case ($)`."""
    words = re.findall(r"\w+", cell.lower().replace("#", " no ").replace("&", " and ").replace("_", " "))
    return "_".join(word for word in (_WORDS.get(word, word) for word in words) if word)


def columns_named(row: Sequence[str]) -> tuple[Choice | None, list[str]]:
    """Return the columns that a head row names, or None and what it does not name."""
    names = [head_name(cell) for cell in row]
    places: dict[str, int] = {}
    for key in NEEDED:
        at = next((names.index(name) for name in HEADS[key] if name in names), None)
        if at is not None and at not in places.values():
            places[key] = at
    missing = [key for key in NEEDED if key not in places]
    if missing:
        return None, missing
    if names[places["pack"]] in _COUNTS:
        size = next((names.index(name) for name in HEADS["size"] if name in names), None)
        if size is not None and size not in places.values():
            places["size"] = size
    return Choice(places, {key: row[at][:80] for key, at in places.items()}), []


def columns_again(choice: Choice, row: Sequence[str]) -> Choice | None:
    """Return where a row has the heads of an earlier choice: at the same place, or else the first of that name."""
    names = [head_name(cell) for cell in row]
    places: dict[str, int] = {}
    for key, before in choice.places.items():
        name = head_name(choice.heads[key])
        if not name or name not in names:
            return None
        places[key] = before if before < len(names) and names[before] == name else names.index(name)
    return Choice(places, choice.heads)
