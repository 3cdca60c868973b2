"""Amounts in kitchen measures: cups to a quarter, spoons, pieces to a quarter, grams as a scale shows them.

“about” is written before a rounded amount.
"""

from fractions import Fraction

from django.utils.translation import gettext

from catalog.web.display.measures import SIGNS
from costing.measures.measure import Measure
from costing.measures.numbers import number_text
from costing.measures.units import CUP_UNITS, FACTORS, CupKind


def handy_measure(measure: Measure, cup: CupKind, grams: Fraction | None, *, pounds: bool) -> str:
    """Write an amount to a quarter teaspoon, a quarter piece, a gram."""
    if measure.unit in CUP_UNITS or measure.unit in ("pint", "quart", "gallon", "fl_oz"):
        return _spoons(measure.in_base(cup), cup)
    if measure.kind == "count":
        return _nearest(measure.in_base(cup), Fraction(1, 4), "")
    if measure.kind == "volume":
        return _nearest(measure.in_base(cup), Fraction(1), "ml")
    return weighed(measure.in_base(cup) if grams is None else grams, pounds=pounds)


def weighed(grams: Fraction, *, pounds: bool) -> str:
    """Write a mass as a scale shows it: to a tenth under 10 g, else to the gram; or pounds and quarter ounces."""
    if pounds and grams >= 14:
        return _pounds(grams)
    step = Fraction(1, 10) if grams < 10 else Fraction(1)
    near = _step(grams, step)
    text = f"{number_text(near / 1000)} kg" if near >= 1000 else f"{number_text(near)} g"
    return _about(text, exact=near == grams)


def _pounds(grams: Fraction) -> str:
    ounces = grams / FACTORS["oz", "us"]
    near = _step(ounces, Fraction(1, 4))
    pounds, rest = divmod(near, 16)
    parts = [f"{pounds} lb"] if pounds else []
    if rest or not pounds:
        parts.append(f"{_mixed(rest)} oz")
    return _about(" ".join(parts), exact=near == ounces)


def _spoons(milliliters: Fraction, cup: CupKind) -> str:
    """Split a volume into cups (to a quarter), tablespoons and teaspoons (to a quarter)."""
    quarter = FACTORS["tsp", cup] / 4
    near = _step(milliliters, quarter)
    if not near:
        return gettext("under ¼ tsp")
    left = int(near / quarter)
    quarter_cup = int(FACTORS["cup", cup] / 4 / quarter)
    cups, left = divmod(left, quarter_cup)
    spoons, left = divmod(left, 12)
    parts = []
    if cups:
        amount = Fraction(cups, 4)
        words = gettext("%(amount)s cups") if amount > 1 else gettext("%(amount)s cup")
        parts.append(words % {"amount": _mixed(amount)})
    if spoons:
        parts.append(gettext("%(amount)s tbsp") % {"amount": spoons})
    if left:
        parts.append(gettext("%(amount)s tsp") % {"amount": _mixed(Fraction(left, 4))})
    return _about(" + ".join(parts), exact=near == milliliters)


def _nearest(amount: Fraction, step: Fraction, unit: str) -> str:
    near = _step(amount, step) or step
    return _about(f"{_mixed(near)} {unit}".strip(), exact=near == amount)


def _about(text: str, *, exact: bool) -> str:
    return text if exact else gettext("about %(amount)s") % {"amount": text}


def _step(amount: Fraction, step: Fraction) -> Fraction:
    return int(amount / step + Fraction(1, 2)) * step


def _mixed(amount: Fraction) -> str:
    whole, rest = divmod(amount, 1)
    part = SIGNS.get(rest, "")
    return f"{whole} {part}".strip() if whole or not part else part
