"""A price as suppliers write it: ``$39.50/cs``, ``39.50 per case``, ``USD 39.50``. How they do: common practice."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from catalog.records.numbers import MOST_PRICE, number_read
from catalog.records.reasons import Reason
from costing.measures.figures import NumberFormat, TwoReadings
from costing.measures.spelling import unit_named
from costing.measures.units import KIND_OF

_SIGNS: Final[Mapping[str, frozenset[str]]] = {
    "$": frozenset({"USD", "CAD", "AUD", "NZD", "SGD", "HKD", "MXN"}),
    "€": frozenset({"EUR"}),
    "£": frozenset({"GBP"}),
    "¥": frozenset({"JPY", "CNY"}),
}
_CODE: Final = re.compile(r"\b(USD|EUR|GBP|CAD|AUD|NZD|CHF|JPY|SEK|NOK|DKK|PLN|CZK)\b", re.IGNORECASE)
#: A number, and what it is the price of.
_FOR: Final = re.compile(r"([^a-z/#%]*\d[^a-z/#%]*)(?:/|per\b|a\b)?\s*(?:(?:1|one)\s)?\s*([a-z.# ]*)", re.IGNORECASE)
#: The whole pack.
_PACK: Final = frozenset(
    {
        "cs", "case", "cases", "ctn", "carton", "pk", "pack", "pkg", "package", "bag", "box", "sack", "pail", "tub",
        "jug", "jar", "bottle", "btl", "can", "bundle", "tray",
    }
)  # fmt: skip
#: One piece: the pack, unless it holds several.
_PIECE: Final = frozenset({"ea", "each", "unit", "pc", "piece", "ct"})
#: A pack that holds several: 12/1 qt, 12 x 1 qt, 15 dozen.
_SEVERAL: Final = re.compile(
    r"\s*(\d+)\s*(?:[/x×*]\s*\d|(?:ea|each|pc|pcs|ct|count|dz|doz|dozen|pieces?)\b)", re.IGNORECASE
)


def price_read(text: str, *, pack: str, written: NumberFormat, currency: str) -> Decimal | Reason:
    """Return the price of a whole pack, or why it cannot be used.

    ``pack`` is the pack as written, ``written`` how the kitchen writes numbers. A price by weight or of one
    piece of several is never taken for the pack's.
    """
    codes = {code.upper() for code in _CODE.findall(text)}
    if codes - {currency} or any(sign in text and currency not in those for sign, those in _SIGNS.items()):
        return Reason("other_currency", {"text": text, "currency": currency})
    found = _FOR.fullmatch(" ".join(_CODE.sub("", text).split()))
    try:
        price = number_read(found[1], written=written) if found else None
    except TwoReadings as two:
        return Reason("two_readings", two.params)
    if found is None or price is None:
        return Reason("not_a_number")
    if wrong := _of_a_part(found[2].strip(" .").lower(), text, pack):
        return wrong
    if price < 0:
        return Reason("negative")
    return Reason("too_dear") if price > MOST_PRICE else price


def _of_a_part(unit: str, text: str, pack: str) -> Reason | None:
    """Return what is wrong with a price that names what it is for."""
    if not unit or unit in _PACK:
        return None
    if unit in _PIECE:
        several = _SEVERAL.match(pack)
        holds_one = several is None or int(several[1]) == 1
        return None if holds_one else Reason("price_of_a_piece", {"text": text})
    named = unit_named(unit)
    if named is None:
        return Reason("not_a_number")
    return Reason("price_by_weight" if KIND_OF[named] == "mass" else "price_by_measure", {"text": text})
