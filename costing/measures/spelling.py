"""Measures in free spelling, as people write them on a screen, converted to the exact grammar.

Only screens use this module: pint reads the spellings of units from `units.txt`. Loading pint takes half a second, so
it is loaded when somebody writes the first measure, not when a process starts. The number before the unit is parsed
here (pint reads `1 1/2 cup` as half a cup).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from math import gcd
from pathlib import Path
from typing import TYPE_CHECKING

from costing.measures.figures import POINT, NumberFormat, TwoReadings, figure_read
from costing.measures.measure import VULGAR, Measure, MeasureError, format_measure, parse_measure
from costing.measures.units import KIND_OF

if TYPE_CHECKING:
    import pint

_SPLIT = re.compile(rf"([0-9.,/\s{''.join(VULGAR)}]*)(.*)", re.DOTALL)
#: Short forms in which case counts, as cooks write them (common practice, no source).
_SHORT = {"c": "cup", "C": "cup", "T": "tbsp", "Tb": "tbsp", "t": "tsp", "#": "lb"}
#: A tenth of a liter, which the exact grammar has no unit for.
_DECILITERS = frozenset({"dl", "deciliter", "deciliters", "decilitre", "decilitres", "deziliter"})
#: The same in German, as German recipes and suppliers write them (common practice, no source).
_GERMAN = {
    **dict.fromkeys(("el", "esslöffel", "essl"), "tbsp"),
    **dict.fromkeys(("tl", "teelöffel", "teel"), "tsp"),
    **dict.fromkeys(("stück", "stck", "stk", "st"), "each"),
    **dict.fromkeys(("prise", "prisen"), "pinch"),
    **dict.fromkeys(("liter",), "l"),
    **dict.fromkeys(("gramm",), "g"),
}
_BY_VOLUME = re.compile(r"(?:oz|ounces?)\.?,? *(?:\(?(?:by )?vol(?:ume)?\.?\)?)", re.IGNORECASE)
#: A weight that says so: 8 oz wt, 8 oz (weight), 2 lb by weight.
_BY_WEIGHT = re.compile(r"(?P<unit>oz|ounces?|lbs?|pounds?)\.?,? *\(?(?:by )?(?:weight|wt)\.?\)?", re.IGNORECASE)
#: A hyphen between a whole number and its fraction, or between a number and its unit: 1-1/2 cups, 8-oz.
_HYPHEN = re.compile(rf"(?<=\d)-(?=\d+ ?/ ?\d|[{''.join(VULGAR)}a-zA-Z])")
#: What something is sold in, which is no measure.
_SOLD_IN = re.compile(
    r"(?:large |small |medium )?(?:cans?|tins?|pkgs?|packages?|packets?|packs?|bags?|boxe?s?|bottles?|jars?|cartons?"
    r"|tubs?|containers?|cases?|cs|ctns?|envelopes?|sachets?|pck|päckchen|packung(?:en)?"
    r"|becher|dosen?|flaschen?|eimer|beutel|kanister|netze?|säcke)\.?",
    re.IGNORECASE,
)
_STICK = re.compile(r"sticks?\.?", re.IGNORECASE)
#: Two measures in a row: 1 lb 4 oz.
_TWO = re.compile(r"([0-9.,/ ]*[0-9] ?[a-z]+\.?)(?:,| and)? ([0-9.,/ ]*[0-9] ?[a-z]+\.?)", re.IGNORECASE)
#: What a pack stands in, after its size.
_HOLDER = re.compile(
    r"(?<=[a-z#.]) *,? *\b(?:bags?|boxe?s?|cases?|cs|pails?|tubs?|jugs?|cartons?|ctn|sacks?|bottles?|btl|jars?|cans?"
    r"|packs?|pks?|pkg|tins?|buckets?|eimer|beutel|flaschen?|dosen?|kanister|netze?|säcke|karton|becher|packung)"
    r"\b\.?(?=\s*$)",
    re.IGNORECASE,
)
_CASE = r"(?:cases?|cs|ctns?|cartons?|packs?|pks?|pkg|bags?|boxe?s?|sacks?|sleeves?)\b\.?"
#: What it is the content of, after or before it: 1000/cs, 30 dz per case, case of 12.
_IN_A_CASE = re.compile(rf" *(?:/|\bper\b) *{_CASE}\s*$|^\s*{_CASE} of ", re.IGNORECASE)
#: A whole number, its thousands separated or not.
_BARE = re.compile(r"\d{1,3}(?:[,.']\d{3})+|\d+", re.ASCII)
#: So many packs of one size: 12/1 qt, 12 x 1 qt, 4 × 5 lb.
_PACKS = re.compile(r"(\d{1,4}) ?(/|x|×|\*) ?(\d{1,6}(?:[.,]\d{1,3}){0,3}|[.,]\d{1,3}) ?([^\d\s/].*)", re.IGNORECASE)
#: So many packs of a fraction: 4 x 1/2 gallon, 6 x 1 1/2 qt.
_PACKS_OF_PARTS = re.compile(r"(\d{1,4}) ?(?:x|×|\*) ?((?:\d{1,3} )?(\d{1,2})/(\d{1,2}) ?[^\d\s/].*)", re.IGNORECASE)
#: Thousands that a space separates, or so many packs: 12 500 g.
_PACKS_OR_THOUSANDS = re.compile(r"(\d{1,3}) ([1-9]\d{2}) ?([^\d\s/].*)", re.ASCII)
#: An apostrophe that separates thousands: 1'000.
_APOSTROPHE = re.compile(r"(?<=\d)['’](?=\d{3}(?!\d))", re.ASCII)
#: A range: 1-2, 1 to 2.
_RANGE = re.compile(rf"[\d{''.join(VULGAR)}] ?(?:-|–|to) ?[\d{''.join(VULGAR)}]", re.IGNORECASE)
#: Denominators of fractions that people measure in.
_HALVES = frozenset({2, 3, 4, 8, 16})


@cache
def registry() -> pint.UnitRegistry[Fraction]:
    """Return the units' sizes and spellings, and nothing else; read once."""
    import pint  # half a second, see above

    return pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), non_int_type=Fraction)


def normalise_measure(text: str, written: NumberFormat = POINT) -> str:
    """Convert a measure in free spelling to the exact grammar.

    Parameters
    ----------
    text : str
        For example `1 1/2 cups`, `250g`, `½ tsp.`, `2 LBS`, `1,000 g`, `12 fl. oz`.
    written : NumberFormat, optional
        How numbers are written where it was written: `1.000 g` is a kilogram in Germany.

    Returns
    -------
    str
        The same measure in the grammar `parse_measure` reads. Text already in that grammar comes back as it is.

    Raises
    ------
    MeasureError
        With a sentence that names what was written and how to write it.
    """
    tidy = _APOSTROPHE.sub(" ", " ".join(text.replace("\u2044", "/").split()))
    if not tidy:
        raise MeasureError("empty")
    if re.search(r"#\s*\d", tidy):
        raise MeasureError("can", text=tidy)
    tidy = _HYPHEN.sub(" ", tidy)
    if _RANGE.search(tidy):
        raise MeasureError("range", text=tidy)
    found = _SPLIT.fullmatch(tidy)
    number, named = (found[1].strip(), found[2]) if found else ("", tidy)
    if not number:
        raise MeasureError("no_number", text=tidy)
    if not named:
        raise MeasureError("no_unit", text=tidy)
    unit = unit_named(named)
    if unit is not None:
        return parse_measure(f"{_number_of(number, named, tidy, written)} {unit}").text
    return _by_other_names(tidy, number, named, written)


def _by_other_names(tidy: str, number: str, named: str, written: NumberFormat) -> str:
    """Read deciliters, or two measures in a row, of which no unit has the name."""
    if named.removesuffix(".").casefold() in _DECILITERS:
        return _times(100, f"{number} ml", written)
    both = _TWO.fullmatch(tidy)
    if both and not _STICK.fullmatch(named):
        return _added(normalise_measure(both[1], written), normalise_measure(both[2], written), tidy)
    raise _no_unit(named, tidy)


def _no_unit(named: str, text: str) -> MeasureError:
    """Return what to say of words that name no unit."""
    if _STICK.fullmatch(named):
        return MeasureError("stick", text=text)
    if _SOLD_IN.fullmatch(named):
        return MeasureError("holder", text=text)
    return MeasureError("unknown_unit", unit=named)


def normalise_pack(text: str, *, listed: bool = False, counted: bool = False, written: NumberFormat = POINT) -> str:
    """Convert a pack's size in free spelling to the exact grammar, packs in a pack multiplied out.

    What stands before a stroke is the number of packs, `4/5 lb` and `9/.5 gal`, but for fractions that people measure
    in: `1/2 gallon` is half of one. A supplier's list can mean either by those.

    Parameters
    ----------
    text : str
        As an invoice writes it: `50 lb bag`, `12/1 qt` and `12 x 1 qt` (twelve of one quart), `36/1 lb`, `50#`,
        `1/2 gallon` (a fraction). How suppliers write packs is common practice, no source.
    listed : bool, optional
        Whether a supplier's list has it: then `1/2 gal` and `3/4 lb` are refused, because they can be so many packs.
    counted : bool, optional
        Whether it is bought by the piece: then a bare number, `1000` or `1000/cs`, is so many pieces. Of all else that
        can be dozens or bags.
    written : NumberFormat, optional
        How numbers are written where it was written.

    Returns
    -------
    str
        The whole pack's measure: `12 quart` for `12/1 qt`.

    Raises
    ------
    MeasureError
        As :func:`normalise_measure`, and where it can be a fraction or so many packs.
    """
    tidy = _packed(text, counted=counted)
    if re.search(r"#\s*\d", tidy):
        raise MeasureError("can_number", text=tidy)
    _check_thousands(tidy, written)
    found = _PACKS.fullmatch(tidy)
    if found is None:
        parts = _PACKS_OF_PARTS.fullmatch(tidy)
        if parts is None or int(parts[3]) >= int(parts[4]):
            return normalise_measure(tidy, written)
        return _times(int(parts[1]), parts[2], written)
    count, sign, size, named = found[1], found[2], found[3], found[4]
    if sign == "/":
        share = _as_fraction(count, size)
        if share is not None and share < 1 and gcd(int(count), int(size)) == 1 and int(size) in _HALVES:
            if listed:
                raise MeasureError("two_packs", text=tidy, times=f"{count} x {size} {named}")
            return normalise_measure(tidy, written)
        if not int(count):
            raise MeasureError("nothing", text=tidy)
    return _times(int(count), f"{size} {named}", written)


def _packed(text: str, *, counted: bool) -> str:
    """Return what is in a pack without the words for what it stands in."""
    tidy = text.replace("\u2044", "/").replace("\u00a0", " ").strip()
    whole = _IN_A_CASE.sub("", tidy).strip()
    if _BARE.fullmatch(whole) and (counted or whole != tidy):
        if not counted:
            raise MeasureError("holder", text=tidy)
        whole = f"{whole} each"
    return " ".join(_HOLDER.sub(" ", whole).split())


def _check_thousands(text: str, written: NumberFormat) -> None:
    """Refuse a pack of which a space can separate thousands, or the number of packs from their size."""
    found = _PACKS_OR_THOUSANDS.fullmatch(text)
    if found and written.group != " ":
        first, second = f"{found[1]}{found[2]} {found[3]}", f"{found[1]} x {found[2]} {found[3]}"
        raise MeasureError("two_readings", text=text, first=first, second=second)


def _times(count: int, text: str, written: NumberFormat) -> str:
    measure = parse_measure(normalise_measure(text, written))
    return format_measure(Measure(measure.amount * count, measure.unit))


def _as_fraction(above: str, below: str) -> Fraction | None:
    return Fraction(int(above), int(below)) if below.isdigit() and int(below) else None


def _added(first: str, second: str, text: str) -> str:
    """Add two measures of one kind, `1 lb 4 oz`, in the smaller unit."""
    more, less = parse_measure(first), parse_measure(second)
    if more.kind != less.kind or more.unit == less.unit:
        raise MeasureError("unreadable", text=text)
    size = parse_measure(f"1 {less.unit}").in_base()
    return format_measure(Measure(more.in_base() / size + less.amount, less.unit))


def unit_named(spelling: str) -> str | None:
    """Return the unit that a spelling names; None when it names none.

    Parameters
    ----------
    spelling : str
        For example `Tablespoons`, `lbs`, `fl. oz.`.

    Returns
    -------
    str or None
        One of `costing.measures.units.UNITS`.
    """
    if spelling.removesuffix(".") in _SHORT:
        return _SHORT[spelling.removesuffix(".")]
    if spelling.removesuffix(".").casefold() in _GERMAN:
        return _GERMAN[spelling.removesuffix(".").casefold()]
    by_volume = _BY_VOLUME.fullmatch(spelling)
    if by_volume:
        return "fl_oz"
    by_weight = _BY_WEIGHT.fullmatch(spelling)
    if by_weight:
        spelling = by_weight["unit"]
    name = "_".join(spelling.lower().replace(".", " ").split())
    found = {unit for _, unit, _ in registry().parse_unit_name(name)}
    return next(iter(found & KIND_OF.keys()), None)


def _number_of(number: str, named: str, text: str, written: NumberFormat) -> str:
    """Return the number of a measure as the exact grammar has it; one it cannot read as it is, to be refused."""
    if "/" in number or any(sign in VULGAR for sign in number):
        return re.sub(r"\s*/\s*", "/", number)
    try:
        return figure_read(number, written) or number
    except TwoReadings as two:
        first, second = (f"{reading} {named}" for reading in (two.first, two.second))
        raise MeasureError("two_readings", text=text, first=first, second=second) from None
