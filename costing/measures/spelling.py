"""Measures as people type them on a screen, turned into the exact grammar or an error sentence."""

from __future__ import annotations

import re

from costing.measures.measure import KIND_OF, VULGAR, MeasureError, parse_measure

SPELLINGS: dict[str, tuple[str, ...]] = {
    "mg": ("milligram", "milligrams", "milligramme", "milligrammes"),
    "g": ("gr", "gm", "gms", "gram", "grams", "gramme", "grammes"),
    "kg": ("kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"),
    "oz": ("ounce", "ounces", "ozs"),
    "lb": ("lbs", "pound", "pounds"),
    "ml": ("mls", "millilitre", "millilitres", "milliliter", "milliliters"),
    "cl": ("cls", "centilitre", "centilitres", "centiliter", "centiliters"),
    "l": ("lt", "ltr", "ltrs", "litre", "litres", "liter", "liters"),
    "fl_oz": (
        "fl oz",
        "floz",
        "fl ozs",
        "fluid oz",
        "fluid ounce",
        "fluid ounces",
        "fl ounce",
        "fl ounces",
    ),
    "pint": ("pints", "pt", "pts"),
    "quart": ("quarts", "qt", "qts"),
    "gallon": ("gallons", "gal", "gals"),
    "cup": ("cups",),
    "tbsp": ("tbsps", "tbs", "tblsp", "tablespoon", "tablespoons"),
    "tsp": ("tsps", "teaspoon", "teaspoons"),
    "dash": ("dashes",),
    "pinch": ("pinches",),
    "each": ("ea", "pc", "pcs", "piece", "pieces", "unit", "units", "whole"),
    "dozen": ("dozens", "doz", "dz"),
}
_UNIT_OF: dict[str, str] = {unit: unit for unit in KIND_OF} | {
    spelling: unit for unit, spellings in SPELLINGS.items() for spelling in spellings
}
_SPLIT = re.compile(rf"([0-9.,/\s{''.join(VULGAR)}]*)(.*)", re.DOTALL)


def normalise_measure(text: str) -> str:
    """Turn a measure as typed into the exact grammar.

    Parameters
    ----------
    text : str
        For example `1 1/2 cups`, `250g`, `½ tsp.`, `2 LBS`, `1,000 g`, `1,5 kg`, `12 fl. oz`.

    Returns
    -------
    str
        The same measure in the grammar `parse_measure` reads. Text already in that grammar comes back as it is.

    Raises
    ------
    MeasureError
        With a sentence that names what was typed and how to write it.
    """
    tidy = " ".join(text.replace("\u2044", "/").replace("\u00a0", " ").replace("\u202f", " ").split())
    if not tidy:
        raise MeasureError("empty")
    found = _SPLIT.fullmatch(tidy)
    written, named = (found[1].strip(), found[2]) if found else ("", tidy)
    if not written:
        raise MeasureError("no_number", text=tidy)
    if not named:
        raise MeasureError("no_unit", text=tidy)
    unit = _UNIT_OF.get(" ".join(named.lower().replace(".", " ").split()))
    if unit is None:
        raise MeasureError("unknown_unit", unit=named)
    return parse_measure(f"{_number_typed(written, tidy)} {unit}").text


def _number_typed(written: str, tidy: str) -> str:
    number = re.sub(r"\s*/\s*", "/", written)
    number = re.sub(r"(?<![0-9])\.(?=[0-9])", "0.", number)
    if "," not in number:
        return number
    if re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?", number):
        return number.replace(",", "")
    # Thousands come in threes, so one comma before fewer digits, or after a nought, stands for the point.
    if re.fullmatch(r"[0-9]+,[0-9]{1,2}|0,[0-9]+", number):
        return number.replace(",", ".")
    raise MeasureError("two_readings", text=tidy)
