"""Measures for display: 96 fl oz, 1 ½ cups, ½ gallon, 100 pieces; and distances."""

from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.translation import gettext

from catalog.web.display.figures import GRAMS_PER_POUND, Figure, exactly, in_locale, plain
from catalog.web.display.money import amount
from catalog.web.display.settings import current
from costing.measures.measure import Measure, MeasureError, format_measure, parse_measure
from costing.measures.units import FACTORS

#: International yard and pound agreement of 1959: a mile is exactly 1.609344 km.
KM_PER_MILE: Final = Decimal("1.609344")
#: International yard and pound agreement of 1959: an inch is exactly 2.54 cm.
CM_PER_INCH: Final = Fraction(254, 100)
#: Fractions that have a character of their own.
SIGNS: Final = {
    Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾", Fraction(1, 3): "⅓", Fraction(2, 3): "⅔",
    Fraction(1, 8): "⅛", Fraction(3, 8): "⅜", Fraction(5, 8): "⅝", Fraction(7, 8): "⅞",
}  # fmt: skip
_PLURAL: Final = {
    "cup": "cups", "pint": "pints", "quart": "quarts", "gallon": "gallons", "dash": "dashes", "pinch": "pinches",
    "piece": "pieces",
}  # fmt: skip


def measure_text(measure: Measure) -> str:
    """Write a measure for display: 1 ½ cups; a count of an ingredient is the number only."""
    amount = _amount(measure)
    return amount if measure.unit == "each" else f"{amount} {_unit(measure.unit, measure.amount)}"


def measure(written: str | None) -> str:
    """Write a stored measure, such as a pack's size, as people say it: ``96 fl_oz`` is 96 fl oz.

    A count says what is counted, since a pack's size stands alone: ``100 each`` is 100 pieces. Text that is no measure
    is returned unchanged.
    """
    if not written:
        return ""
    try:
        found = parse_measure(written)
    except MeasureError:
        return written
    return f"{_amount(found)} {_unit('piece' if found.unit == 'each' else found.unit, found.amount)}"


def packs(count: int, size: str) -> str:
    """Write how many packs of a size are bought: 2 × 5 lb; single pieces are counted: 2 pieces."""
    try:
        found = parse_measure(size)
    except MeasureError:
        found = None
    if found and found.unit == "each" and found.amount == 1:
        return measure(format_measure(Measure(Fraction(count), found.unit)))
    return f"{count} × {measure(size)}"


def mass_unit(*, word: bool = False) -> str:
    """Return the unit of prices by mass: the kilogram, or the pound in a kitchen that weighs in pounds."""
    pounds = current().measures == "us"
    if word:
        return "pound" if pounds else "kilogram"
    return "lb" if pounds else "kg"


def per_mass(per_kg: Figure | None, currency: str = "") -> str:
    """Write a price of a kilogram as the price of the kitchen's :func:`mass_unit`."""
    if per_kg is None or per_kg == "" or mass_unit() == "kg":
        return amount(per_kg, currency)
    return amount(Fraction(per_kg) * GRAMS_PER_POUND / 1000, currency)


def minutes_per_mass(minutes: Decimal | None) -> str:
    """Write minutes per kilogram as minutes per the kitchen's :func:`mass_unit`: 2 min per lb."""
    if minutes is None:
        return ""
    pounds = mass_unit() == "lb"
    shown = plain(Fraction(minutes) * GRAMS_PER_POUND / 1000 if pounds else minutes, 2)
    return gettext("%(minutes)s min per %(unit)s") % {"minutes": shown, "unit": mass_unit()}


def distance(km: Decimal | None) -> str:
    """Write a distance in the kitchen's unit, to a tenth: 18 mi, 29 km."""
    if km is None:
        return ""
    miles = current().distance == "mi"
    return f"{plain(km / KM_PER_MILE if miles else km, 1)} {'mi' if miles else 'km'}"


def length_unit() -> str:
    """Return the unit of lengths: the inch where the kitchen weighs in pounds, else the centimeter."""
    return "in" if current().measures == "us" else "cm"


def length(cm: Figure | None, digits: int = 1, *, unit: bool = True) -> str:
    """Write a length given in centimeters in the kitchen's unit: 9.4 in, or 24 cm."""
    if cm is None or cm == "":
        return ""
    inches = length_unit() == "in"
    number = plain(exactly(cm) / CM_PER_INCH if inches else cm, digits)
    return f"{number} {length_unit()}" if unit else number


def volume(ml: Figure | None) -> str:
    """Write a volume given in milliliters: fl oz and qt in a kitchen that weighs in pounds, else ml and l."""
    if ml is None or ml == "":
        return ""
    exact = exactly(ml)
    small, large = ("fl_oz", "quart") if current().measures == "us" else ("ml", "l")
    least = FACTORS[large, "us"]
    unit = small if exact < least else large
    name = {"fl_oz": "fl oz", "quart": "qt"}.get(unit, unit)
    return f"{plain(exact / FACTORS[unit, 'us'], 0 if unit in ('ml', 'fl_oz') else 1)} {name}"


def _amount(measure: Measure) -> str:
    whole, rest = divmod(measure.amount, 1)
    if rest in SIGNS:
        return f"{whole} {SIGNS[rest]}" if whole else SIGNS[rest]
    return in_locale(format_measure(measure).rpartition(" ")[0])


def _unit(unit: str, amount: Fraction) -> str:
    return _PLURAL.get(unit, unit).replace("_", " ") if amount > 1 else unit.replace("_", " ")


def temperature(celsius: Figure | None, digits: int = 0) -> str:
    """Write a temperature given in °C in the kitchen's degrees: 41 °F or 5 °C."""
    if celsius is None or celsius == "":
        return ""
    degrees = current().degrees
    exact = Fraction(celsius)
    return f"{plain(exact if degrees == 'C' else exact * 9 / 5 + 32, digits)} °{degrees}".replace("-", "−")
