"""Amounts in kitchen measures: cups to a quarter, spoons, pieces, grams as a scale shows them.

“about” is written before a rounded amount. More than two measures for one amount are nobody's: from two cups on, the
amount is rounded by up to 2 %, and less than that is written in two measures.
"""

from fractions import Fraction
from typing import Final

from django.utils.translation import gettext

from catalog.web.display.figures import plain
from catalog.web.display.measures import SIGNS
from costing.measures.measure import Measure
from costing.measures.units import CUP_UNITS, FACTORS, CupKind

#: How far a volume of more than two measures may be rounded.
_CLOSE: Final = Fraction(2, 100)


def handy_measure(measure: Measure, cup: CupKind, grams: Fraction | None, *, pounds: bool) -> str:
    """Write an amount to a quarter teaspoon, a quarter piece, a gram."""
    if measure.unit in CUP_UNITS or measure.unit in ("pint", "quart", "gallon", "fl_oz"):
        return _spoons(measure.in_base(cup), cup)
    if measure.kind == "count":
        return _pieces(measure.in_base(cup), grams, pounds=pounds)
    if measure.kind == "volume":
        return _nearest(measure.in_base(cup), Fraction(1), "ml")
    return weighed(measure.in_base(cup) if grams is None else grams, pounds=pounds)


def weighed(grams: Fraction, *, pounds: bool) -> str:
    """Write a mass as a scale shows it: to a tenth under 10 g, else to the gram; or pounds and quarter ounces.

    What is less than half an ounce has its grams in brackets: few scales show so little in ounces.
    """
    if pounds and grams >= 14:
        return _pounds(grams)
    if pounds and grams:
        return f"{plain(grams / FACTORS['oz', 'us'], 2)} oz ({weighed(grams, pounds=False)})"
    step = Fraction(1, 10) if grams < 10 else Fraction(1)
    near = _step(grams, step)
    text = f"{plain(near / 1000)} kg" if near >= 1000 else f"{plain(near)} g"
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
    """Split a volume into two of cups (to a quarter), tablespoons and teaspoons (to a quarter)."""
    quarter = FACTORS["tsp", cup] / 4
    if not _step(milliliters, quarter):
        return gettext("under ¼ tsp")
    near, sizes = _split(milliliters, cup)
    quarter_cups, spoons, teaspoons = sizes
    parts = []
    if quarter_cups:
        words = gettext("%(amount)s cups") if quarter_cups > 4 else gettext("%(amount)s cup")
        parts.append(words % {"amount": _mixed(quarter_cups / 4)})
    if spoons:
        parts.append(gettext("%(amount)s tbsp") % {"amount": _mixed(spoons)})
    if teaspoons:
        parts.append(gettext("%(amount)s tsp") % {"amount": _mixed(teaspoons)})
    return _about(" + ".join(parts), exact=near == milliliters)


def _split(milliliters: Fraction, cup: CupKind) -> tuple[Fraction, tuple[Fraction, Fraction, Fraction]]:
    """Return a volume in ml as it is measured, and its quarter cups, tablespoons and teaspoons; two of them at most."""
    quarter_cup, spoon, teaspoon = FACTORS["cup", cup] / 4, FACTORS["tbsp", cup], FACTORS["tsp", cup]
    exact = _step(milliliters, teaspoon / 4)
    quarters, left = divmod(exact, quarter_cup)
    spoons, left = divmod(left, spoon)
    sizes = Fraction(quarters), Fraction(spoons), left / teaspoon
    if milliliters <= 8 * quarter_cup and not all(sizes):
        return exact, sizes
    quarters, left = divmod(milliliters, quarter_cup)
    for step in (quarter_cup, spoon, spoon / 2):
        more, rest = divmod(_step(left, step), quarter_cup)
        near = (quarters + more) * quarter_cup + rest
        if abs(near - milliliters) <= milliliters * _CLOSE:
            return near, (Fraction(quarters + more), rest / spoon, Fraction(0))
    spoons, left = divmod(exact, spoon)
    return exact, (Fraction(0), Fraction(spoons), left / teaspoon)


def _pieces(count: Fraction, grams: Fraction | None, *, pounds: bool) -> str:
    """Write a count: beyond two, a part of an egg is not taken; whole ones are opened and weighed."""
    whole = -(-count // 1)
    if grams is None or count <= 2 or count == whole:
        return _nearest(count, Fraction(1, 4), "")
    return gettext("%(count)s (%(weight)s of them)") % {"count": whole, "weight": weighed(grams, pounds=pounds)}


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
