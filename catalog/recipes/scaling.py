"""Recipes made larger or smaller: exact amounts, grams, and what a cook can measure; and pans by volume."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from catalog.molds.models import Mold
from catalog.recipes.costs import RecipeCard
from catalog.recipes.models import Recipe
from catalog.web.display.measures import SIGNS, spoken
from costing.measures.measure import Measure, format_measure, parse_measure
from costing.measures.units import CUP_UNITS, FACTORS, CupKind

#: π to 20 decimals; a pan is not round to more than three figures.
PI: Final = Fraction(314_159_265_358_979_323_846, 10**20)
#: Parts of a unit that measuring spoons, cups and eyes can tell.
_TELLABLE: Final = (1, 2, 3, 4, 8)


@dataclass(frozen=True, slots=True)
class ScaledLine:
    """A line of a recipe for another quantity."""

    label: str
    written: str
    exact: str
    grams: Fraction | None
    handy: str


def scaled_lines(
    card: RecipeCard, labels: list[str], factor: Fraction, cup: CupKind, *, pounds: bool
) -> list[ScaledLine]:
    """Scale every line by a factor: exactly, in grams, and in measures a cook can take."""
    found = []
    for line, label in zip(card.lines, labels, strict=True):
        measure = parse_measure(line.draft.amount)
        scaled = Measure(measure.amount * factor, measure.unit)
        grams = None if line.grams is None else line.grams * factor
        found.append(
            ScaledLine(label, spoken(measure), spoken(scaled), grams, handy_measure(scaled, cup, grams, pounds=pounds))
        )
    return found


def handy_measure(measure: Measure, cup: CupKind, grams: Fraction | None, *, pounds: bool) -> str:
    """Write an amount as a cook takes it: to a quarter teaspoon, a quarter piece, a gram.

    “about” stands before what was rounded.
    """
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
    about = "" if near == grams else "about "
    return f"{about}{_decimal(near / 1000)} kg" if near >= 1000 else f"{about}{_decimal(near)} g"


def _pounds(grams: Fraction) -> str:
    ounces = grams / FACTORS["oz", "us"]
    near = _step(ounces, Fraction(1, 4))
    pounds, rest = divmod(near, 16)
    parts = [f"{pounds} lb"] if pounds else []
    if rest or not pounds:
        parts.append(f"{_mixed(rest)} oz")
    return ("" if near == ounces else "about ") + " ".join(parts)


def _spoons(millilitres: Fraction, cup: CupKind) -> str:
    """Split a volume into cups (to a quarter), tablespoons and teaspoons (to a quarter)."""
    quarter = FACTORS["tsp", cup] / 4
    near = _step(millilitres, quarter)
    if not near:
        return "under ¼ tsp"
    left = int(near / quarter)
    quarter_cup = int(FACTORS["cup", cup] / 4 / quarter)
    cups, left = divmod(left, quarter_cup)
    spoons, left = divmod(left, 12)
    parts = []
    if cups:
        amount = Fraction(cups, 4)
        parts.append(f"{_mixed(amount)} {'cups' if amount > 1 else 'cup'}")
    if spoons:
        parts.append(f"{spoons} tbsp")
    if left:
        parts.append(f"{_mixed(Fraction(left, 4))} tsp")
    return ("" if near == millilitres else "about ") + " + ".join(parts)


def _nearest(amount: Fraction, step: Fraction, unit: str) -> str:
    near = _step(amount, step) or step
    return ("" if near == amount else "about ") + f"{_mixed(near)} {unit}".strip()


def _step(amount: Fraction, step: Fraction) -> Fraction:
    return int(amount / step + Fraction(1, 2)) * step


def _mixed(amount: Fraction) -> str:
    whole, rest = divmod(amount, 1)
    part = SIGNS.get(rest, "")
    return f"{whole} {part}".strip() if whole or not part else part


def _decimal(amount: Fraction) -> str:
    text = format(Decimal(amount.numerator) / Decimal(amount.denominator), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def copied_amounts(card: RecipeCard, factor: Fraction, cup: CupKind) -> list[str]:
    """Return the lines' amounts for a copy in another size.

    An amount a cook can measure keeps its unit; another becomes grams, to a tenth under 10 g, else to the gram.
    """
    amounts = []
    for line in card.lines:
        measure = parse_measure(line.draft.amount)
        scaled = measure.amount * factor
        if measure.kind != "mass" and (scaled.denominator in _TELLABLE or line.grams is None):
            amounts.append(format_measure(Measure(scaled, measure.unit)))
            continue
        grams = (line.grams or measure.in_base(cup)) * factor
        step = Fraction(1, 10) if grams < 10 else Fraction(1)
        amounts.append(format_measure(Measure(_step(grams, step) or Fraction(1, 10), "g")))
    return amounts


@dataclass(frozen=True, slots=True)
class Pan:
    """A pan's inside, in centimetres; ``height`` is how high it is filled."""

    shape: str
    diameter: Fraction | None
    length: Fraction | None
    width: Fraction | None
    height: Fraction | None

    @property
    def area(self) -> Fraction | None:
        """Area of the bottom in cm²."""
        if self.shape == Mold.Shape.ROUND:
            return None if self.diameter is None else PI / 4 * self.diameter**2
        return None if self.length is None or self.width is None else self.length * self.width

    @property
    def volume(self) -> Fraction | None:
        """Volume in ml, or None while a measure is missing."""
        return None if self.area is None or self.height is None else self.area * self.height


def mold_pan(mold: Mold, fill_height: Decimal | None = None) -> Pan:
    """Return a mold's inside, filled to a height or to its rim."""
    height = fill_height if fill_height is not None else mold.height_cm

    def exact(value: Decimal | None) -> Fraction | None:
        return None if value is None else Fraction(value)

    return Pan(mold.shape, exact(mold.diameter_cm), exact(mold.length_cm), exact(mold.width_cm), exact(height))


def pan_factor(one: Pan, other: Pan) -> Fraction | None:
    """Return by how much the volume changes, to four decimals; by area where a height is missing."""
    if one.volume and other.volume:
        exact = other.volume / one.volume
    elif one.area and other.area:
        exact = other.area / one.area
    else:
        return None
    return Fraction(round(exact * 10_000), 10_000) or None


def recipe_density(recipe: Recipe, card: RecipeCard, cup: CupKind) -> Fraction | None:
    """Return g/ml of what goes in, where every line's density is known; no air is counted."""
    volume = Fraction(0)
    for line, figures in zip(recipe.lines.all(), card.lines, strict=True):
        density = None if line.ingredient is None else (line.part and line.part.density) or line.ingredient.density
        if density is None or figures.grams is None:
            return None
        volume += figures.grams / Fraction(density)
    return card.grams_in / volume if volume else None
