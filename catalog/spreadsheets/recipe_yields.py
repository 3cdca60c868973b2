"""What a row says a recipe makes: its loss follows from a weight; anything else stays a note."""

from decimal import Decimal
from fractions import Fraction
from typing import Final, cast

from catalog.kitchen.selectors import kitchen
from catalog.records.reasons import Reason
from catalog.spreadsheets.plan import Plan
from catalog.spreadsheets.recipe_rows import LineRead, RecipeRead
from costing.measures.figures import NumberFormat
from costing.measures.measure import Measure, MeasureError, format_measure, parse_measure
from costing.measures.spelling import normalise_measure
from costing.measures.units import CupKind

#: How much more than goes in a yield may say before it is asked about: rounding of ounces and cups. Own choice.
_ROUNDING: Final = Fraction(1, 100)
#: Most of a recipe that is lost, as its form has it.
_MOST_LOST: Final = Decimal("0.99")
#: Digits of a loss that follows from a yield: 0.0001%.
_DIGITS: Final = Decimal("0.000001")
#: What is wrong with a weight that only needs to be written in another way; other texts are no weights.
_ASKED: Final = frozenset({"two_readings", "range"})
#: How far a stated loss and a stated yield may be apart, as a share of the recipe. Own choice.
_APART: Final = Decimal("0.01")


def yields_used(plan: Plan, recipes: dict[str, RecipeRead], written: NumberFormat) -> None:
    """Take the loss of recipes from the weight they make; a yield that cannot be is a problem of its row."""
    cup = cast(CupKind, kitchen().cup)
    for recipe in recipes.values():
        if "yield" not in recipe.head:
            continue
        text, row = recipe.head["yield"], recipe.head_rows["yield"]
        try:
            mass = parse_measure(normalise_measure(text, written))
        except MeasureError as error:
            if error.reason in _ASKED:
                plan.problem(row, "yield", "measure", text=error.on_screen())
                continue
            mass = None
        if mass is None or mass.kind != "mass":
            recipe.yields = Reason("yield_noted", {"text": text[:60]})
        elif recipe.lines and not plan.open_rows_of(recipe.rows):
            _use(plan, recipe, mass, cup)


def _use(plan: Plan, recipe: RecipeRead, mass: Measure, cup: CupKind) -> None:
    inputs = sum((_grams(line, cup) for line in recipe.lines), Fraction(0))
    made, row = mass.grams(cup), recipe.head_rows["yield"]
    if made > inputs * (1 + _ROUNDING):
        plan.problem(row, "yield", "yield_above", made=format_measure(mass), inputs=_written(inputs, mass))
        return
    share = 1 - made / inputs if inputs else Fraction(0)
    loss = max(Decimal(0), (Decimal(share.numerator) / Decimal(share.denominator)).quantize(_DIGITS))
    if loss > _MOST_LOST:
        plan.problem(row, "yield", "yield_tiny", made=format_measure(mass), inputs=_written(inputs, mass))
    elif recipe.loss is None:
        recipe.loss = loss.normalize()
        recipe.yields = Reason("yield_used", {"made": format_measure(mass), "inputs": _written(inputs, mass)})
    elif abs(recipe.loss - loss) > _APART:
        plan.problem(row, "yield", "yield_and_loss", loss=str(recipe.loss), made=format_measure(mass))


def _written(grams: Fraction, like: Measure) -> str:
    """Write grams in the unit that a yield is in, so that both can be compared."""
    size = Measure(Fraction(1), like.unit).grams("us")
    return format_measure(Measure(Fraction(round(grams / size * 100), 100), like.unit))


def _grams(line: LineRead, cup: CupKind) -> Fraction:
    subject = line.good.subject if line.good else None
    return parse_measure(line.amount).grams(
        cup,
        density=Fraction(subject.density) if subject and subject.density is not None else None,
        grams_each=Fraction(subject.grams_each) if subject and subject.grams_each is not None else None,
    )
