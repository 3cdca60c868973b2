"""The steps of a recipe on its sheet: how long each lasts, in what a hot batch stands, how deep, the verdict."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from fractions import Fraction

from catalog.cooling.missing_presenters import missing_sentence
from catalog.web import display
from costing.contract import Recipe, Step
from orders.production.batch_presenters import CoolingShown, cold_part, cooling_shown
from orders.production.batches import BatchRow
from orders.production.tasks import Task


@dataclass(frozen=True, slots=True)
class StepShown:
    """A step: how long it lasts, as stated or as the batch cools if that is longer, and the cooling that ends there.

    ``until`` says how cold it has to be then.
    """

    step: Step
    lasts: str
    until: str = ""
    cooling: CoolingShown | None = None


@dataclass(frozen=True, slots=True)
class StepsShown:
    """The steps of a recipe, and why it is not known how it cools where that is so.

    ``source`` is who says that it is safe at room temperature, and by what.
    """

    steps: tuple[StepShown, ...]
    missing: str = ""
    source: str = ""


def steps_shown(recipe: Recipe, rows: Iterable[BatchRow], together: Collection[int] = ()) -> StepsShown:
    """Write the steps of a recipe as its batches, of ``rows``, cool."""
    own = [row for row in rows if row.cold.recipe.code == recipe.code]
    missing = next((row.cold.missing for row in own if row.cold.missing is not None), None)
    ends = {times.cycle.last_at: (row, times) for row in own for times, _ in row.times}
    shown = []
    for at, step in enumerate(recipe.steps):
        stated = display.duration(step.minutes) if step.minutes else ""
        if at not in ends:
            shown.append(StepShown(step, stated))
            continue
        row, times = ends[at]
        part = cold_part(Task(recipe, at, Fraction(0), step, None, Fraction(0), 1), "", times)
        cooling = cooling_shown(times, None, together=row.recipe_id in together)
        shown.append(StepShown(step, part.least, part.until, cooling))
    source = recipe.shelf_stable_source.strip() if recipe.shelf_stable else ""
    return StepsShown(tuple(shown), "" if missing is None else missing_sentence(missing), source)
