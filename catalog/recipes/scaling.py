"""Recipes made larger or smaller: exact amounts and grams, and the amounts of a copy in another size."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from catalog.recipes.costs import RecipeCard, batches
from catalog.recipes.models import Recipe
from costing.measures.measure import Measure, format_measure, parse_measure
from costing.measures.units import FACTORS, CupKind

#: Fractions of a unit that can be measured with spoons, cups or by eye.
_TELLABLE: Final = (1, 2, 3, 4, 8)
#: Units of weight of a kitchen that weighs in pounds.
_POUNDS: Final = ("oz", "lb")


@dataclass(frozen=True, slots=True)
class ScaledLine:
    """A line of a recipe for another quantity: as written, exactly as needed, and in grams."""

    label: str
    written: Measure
    needed: Measure
    grams: Fraction | None


@dataclass(frozen=True, slots=True)
class Scaled:
    """A recipe at another size; ``grams`` is what it makes."""

    factor: Fraction
    grams: Fraction
    lines: tuple[ScaledLine, ...]
    batches: int
    cup: CupKind


def scaled(card: RecipeCard, labels: list[str], factor: Fraction, cup: CupKind) -> Scaled:
    """Scale every line by a factor, exactly."""
    grams = card.output * factor
    lines = zip(card.lines, labels, strict=True)
    return Scaled(
        factor=factor,
        grams=grams,
        lines=tuple(_scaled_line(label, line.draft.amount, line.grams, factor) for line, label in lines),
        batches=batches(grams, card.draft.batch_limit),
        cup=cup,
    )


def _scaled_line(label: str, amount: str, grams: Fraction | None, factor: Fraction) -> ScaledLine:
    written = parse_measure(amount)
    needed = Measure(written.amount * factor, written.unit)
    return ScaledLine(label, written, needed, None if grams is None else grams * factor)


def copied_amounts(card: RecipeCard, factor: Fraction, cup: CupKind, *, pounds: bool) -> list[str]:
    """Return the lines' amounts for a copy in another size.

    An amount a cook can measure keeps its unit. Another becomes a weight: grams, to a tenth under 10 g, else to the
    gram; or pounds and ounces to the hundredth, where it was written in them or is a volume in a kitchen of ``pounds``.
    """
    amounts = []
    for line in card.lines:
        measure = parse_measure(line.draft.amount)
        needed = measure.amount * factor
        if measure.kind != "mass" and (needed.denominator in _TELLABLE or line.grams is None):
            amounts.append(format_measure(Measure(needed, measure.unit)))
            continue
        grams = (line.grams or measure.in_base(cup)) * factor
        ounces = measure.unit in _POUNDS if measure.kind == "mass" else pounds
        amounts.append(_weight(grams, pounds=ounces))
    return amounts


def _weight(grams: Fraction, *, pounds: bool) -> str:
    """Return a weight as it is entered in a recipe: in grams, or in ounces and from a pound on in pounds."""
    unit = "g" if not pounds else "oz" if grams < FACTORS["lb", "us"] else "lb"
    exact = grams / FACTORS[unit, "us"]
    step = Fraction(1, 100) if pounds else Fraction(1, 10) if grams < 10 else Fraction(1)
    near = int(exact / step + Fraction(1, 2)) * step
    return format_measure(Measure(near or step, unit))


def recipe_density(recipe: Recipe, card: RecipeCard, cup: CupKind) -> Fraction | None:
    """Return the density in g/ml of the ingredients, if every line's density is known; air is not counted."""
    volume = Fraction(0)
    for line, figures in zip(recipe.lines.all(), card.lines, strict=True):
        density = None if line.ingredient is None else (line.part and line.part.density) or line.ingredient.density
        if density is None or figures.grams is None:
            return None
        volume += figures.grams / Fraction(density)
    return card.grams_in / volume if volume else None
