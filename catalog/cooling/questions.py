"""All that has to be stated of how a recipe cools, as one list: each question is answered as if, and the next asked.

What stands in for an answer only leads to the questions behind it; nothing of it is shown or saved.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from catalog.cooling.batch_reports import hot_and_open
from catalog.cooling.missing import Missing
from costing.chilling.vessels import HOTEL_PAN
from costing.contract import Book, Recipe, Step, Vessel
from costing.contract.steps import HEATING, WAITING

#: More questions than a recipe has; own choice.
_MOST: Final = 20
_HOT_C: Final = Fraction(90)
_LONG_MIN: Final = Fraction(10_000)
_STAND_IN: Final = Vessel(
    name="stand-in", kind=HOTEL_PAN, length_cm=Fraction(60), width_cm=Fraction(60), height_cm=Fraction(60)
)
#: Codes that ask for a chill step behind the step they name, those for its refrigerator, and those for its vessel.
_COLD: Final = frozenset({"no_cold_stage", "bath_ends_warm", "bath_ends_early"})
_VESSEL: Final = frozenset({"no_vessel"})
_TIME: Final = frozenset({"no_cold_minutes"})
_LEAVES: Final = frozenset({"not_said", "leaves_not_said", "never_hot_contradicted", "hot_before", "off_heat_cold"})


@dataclass(frozen=True, slots=True)
class Question:
    """What is missing, and the number from 0 of the step that answers it; None where no single step does.

    ``asks`` is what the step lacks: ``leaves`` (a temperature and a vessel), ``vessel``, ``chill`` (a chill step behind
    it), ``time`` (how long it stays in the cold), ``station``, ``heat`` (whether it is hot at all, and at which step),
    or empty: it is answered elsewhere.
    """

    missing: Missing
    asks: str = ""
    step: int | None = None


def recipe_questions(code: str, book: Book) -> tuple[Question, ...]:
    """Return what is missing of how a recipe cools, in the order of its steps as they are asked.

    Steps that a stand-in added are not counted: numbers are those of the recipe as it is stored.
    """
    found: list[Question] = []
    added: list[int] = []
    for _ in range(_MOST):
        missing = hot_and_open(code, book)
        if missing is None or any(one.missing == missing for one in found):
            break
        recipe = book.recipe(code)
        asks, at = _asked(missing, recipe)
        found.append(Question(missing, asks, None if at is None else at - sum(one < at for one in added)))
        if not asks:
            break
        if asks == "chill" and at is not None:
            added.append(at + 1)
        book = _answered(book, recipe, asks, at)
    return tuple(found)


def _asked(missing: Missing, recipe: Recipe) -> tuple[str, int | None]:
    """Return what a question asks for, and at which step of the recipe."""
    if missing.kind != "recipe" or missing.thing != recipe.code:
        return "", None
    code = missing.reason.code
    at = _named(recipe.steps, missing.reason.params.get("step"))
    if code.startswith(("heat_", "never_hot_")) or code == "part_not_said":
        return "heat", _last_work(recipe.steps) if at is None else at
    if at is None:
        return "", None
    kinds = {
        "chill": _COLD,
        "vessel": _VESSEL,
        "time": _TIME,
        "station": frozenset({"no_refrigerator"}),
        "leaves": _LEAVES,
    }
    return next((asks for asks, codes in kinds.items() if code in codes), ""), at


def _named(steps: Sequence[Step], name: object) -> int | None:
    return next((at for at, step in enumerate(steps) if str(step) == name), None)


def _last_work(steps: Sequence[Step]) -> int | None:
    """Return the last step at which something can leave hot: a heating one, else the last that does not wait."""
    heating = [at for at, step in enumerate(steps) if step.kind in HEATING]
    working = [at for at, step in enumerate(steps) if step.kind not in WAITING]
    return (heating or working)[-1] if heating or working else None


def _answered(book: Book, recipe: Recipe, asks: str, at: int | None) -> Book:
    """Return the Book with a question answered."""
    steps = list(recipe.steps)
    cold = next((station.code for station in book.stations if station.kind == "refrigerator"), None)
    if at is None:
        steps, at = [*steps, Step(kind="cook")], len(steps)
    if asks == "chill":
        steps.insert(at + 1, Step(kind="chill", station=cold, minutes=_LONG_MIN))
    elif asks == "time":
        steps[at] = replace(steps[at], minutes=_LONG_MIN)
    elif asks == "station":
        steps[at] = replace(steps[at], station=cold)
    else:
        leaves = _HOT_C if steps[at].leaves_c is None else steps[at].leaves_c
        steps[at] = replace(steps[at], leaves_c=leaves, vessel=steps[at].vessel or _STAND_IN.name)
    changed = replace(recipe, steps=tuple(steps), never_hot=recipe.never_hot and asks != "heat")
    vessels = book.vessels if any(one.name == _STAND_IN.name for one in book.vessels) else (*book.vessels, _STAND_IN)
    recipes = tuple(changed if one.code == recipe.code else one for one in book.recipes)
    return replace(book, recipes=recipes, vessels=vessels)
