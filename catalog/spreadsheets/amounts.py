"""An amount of an ingredient as a recipe's row writes it: ``1 1/2 c``, ``2 sticks``, ``8 oz by volume``, ``3``.

What can mean two things is asked about, never guessed.
"""

import re
from typing import Final

from catalog.pantry.poured import is_liquid, words_in
from catalog.records.reasons import Reason
from costing.measures.figures import POINT, NumberFormat
from costing.measures.measure import Measure, MeasureError, format_measure, parse_measure
from costing.measures.spelling import normalise_measure

_BY_WEIGHT: Final = re.compile(r"(.*\d.*?)(?:oz|ounces?)\.?,? *\(?(?:by )?(?:wt|weight)\.?\)?", re.IGNORECASE)
_OUNCES: Final = re.compile(r"(.*\d) *(?:oz|ounces?)\.?", re.IGNORECASE)
_STICKS: Final = re.compile(r"([\d./,'’ ]*[\d¼½¾⅓⅔⅛⅜⅝⅞])\s*sticks?\.?", re.IGNORECASE)
#: A stick of butter [oz]: a quarter of a pound. USDA FoodData Central, SR Legacy, butter (01001, 01145): 1 stick is
#: 113 g, as /standards of the project's reference has it.
STICK_OZ: Final = 4
_STICK_OF: Final = frozenset({"butter", "margarine"})
#: A cell that a spreadsheet made a date of: 1/2 became a day of January or February.
_DATE: Final = re.compile(r"\d{4}-\d\d-\d\d(?: \d\d:\d\d:\d\d)?")
_NUMBER: Final = re.compile(r"[\d.,'’/\s¼½¾⅓⅔⅛⅜⅝⅞]*[\d¼½¾⅓⅔⅛⅜⅝⅞]")


class Unread(Exception):
    """The amount cannot be used; holds the reason."""

    def __init__(self, code: str, **params: str) -> None:
        self.reason = Reason(code, params)
        super().__init__(code)


class Asked(Exception):
    """The amount can mean several things; ``code`` is the question: oz or bare."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(code)


def amount_read(
    amount: str, unit: str, name: str, *, written: NumberFormat = POINT, oz: str = "", bare: str = ""
) -> str:
    """Return an amount in the exact grammar.

    ``written`` is how the kitchen writes numbers, ``oz`` the owner's answer for ounces of it (weight or
    volume), ``bare`` the unit of its bare numbers.

    Raises
    ------
    Unread
        If it is no amount.
    Asked
        If it needs an answer first.
    """
    text = " ".join(f"{amount} {unit}".split())
    if not text:
        raise Unread("no_amount")
    if _DATE.fullmatch(amount.strip()):
        raise Unread("amount_date", text=amount.split()[0])
    if _NUMBER.fullmatch(text):
        if not bare:
            raise Asked("bare")
        text = f"{text} {bare}"
    try:
        return _measure(text, name, oz, written)
    except MeasureError as error:
        raise Unread("measure", text=error.on_screen()) from None


def is_sticks(amount: str, unit: str) -> bool:
    """Return whether an amount is in sticks, which are butter's and margarine's alone."""
    return _STICKS.fullmatch(" ".join(f"{amount} {unit}".split())) is not None


def _measure(text: str, name: str, oz: str, written: NumberFormat) -> str:
    if sticks := _STICKS.fullmatch(text):
        if not words_in(name) & _STICK_OF:
            raise MeasureError("stick", text=text)
        measure = parse_measure(normalise_measure(f"{sticks[1]} oz", written))
        return format_measure(Measure(measure.amount * STICK_OZ, measure.unit))
    if by_weight := _BY_WEIGHT.fullmatch(text):
        return normalise_measure(f"{by_weight[1]} oz", written)
    if (ounces := _OUNCES.fullmatch(text)) and is_liquid(name):
        if not oz:
            raise Asked("oz")
        text = " ".join((ounces[1], "fl_oz")) if oz == "volume" else text
    return normalise_measure(text, written)


def amount_written(amount: str, name: str) -> str:
    """Return a stored amount as a spreadsheet has it, so that it is read as the same again, without a question."""
    number, _, unit = amount.rpartition(" ")
    if unit == "oz" and is_liquid(name):
        return " ".join((number, unit, "by", "weight"))
    return f"{number} {unit.replace('_', ' ')}"
