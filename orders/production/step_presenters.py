"""The steps of a recipe on its sheet: how long each lasts, in what a hot batch stands, how deep, the verdict."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from fractions import Fraction

from django.utils.translation import gettext

from catalog.cooling.batch_presenters import mass_words
from catalog.cooling.batch_reports import BatchTimes
from catalog.cooling.missing_presenters import missing_sentence
from catalog.cooling.time_used import USED_UP
from catalog.web import display
from costing.contract import Recipe, Step
from orders.production.batch_presenters import CoolingShown, cold_part, cooling_shown, longest, made_words
from orders.production.batches import BatchRow
from orders.production.tasks import Task


@dataclass(frozen=True, slots=True)
class StepShown:
    """A step: how long it lasts, as stated or as the batch cools if that is longer, and the coolings that end there.

    ``until`` says how cold it has to be then. Of a recipe that is made on several days each has its cooling, after the
    words that say which.
    """

    step: Step
    lasts: str
    until: str = ""
    coolings: tuple[tuple[str, CoolingShown], ...] = ()

    @property
    def words(self) -> str:
        """The step with its temperature, time and wait: Bake at 350 °F, 25 min, then wait at least 1 h."""
        words = {"step": str(self.step), "temperature": display.temperature(self.step.temperature_c)}
        text = gettext("%(step)s at %(temperature)s") % words if words["temperature"] else words["step"]
        if self.lasts:
            lasts = {"step": text, "time": self.lasts}
            text = gettext("%(step)s, at least %(time)s") % lasts if self.coolings else f"{text}, {self.lasts}"
        if self.until:
            return f"{text}, {self.until}"
        if self.step.wait_min and not self.coolings:
            wait = {"step": text, "time": display.duration(self.step.wait_min)}
            return gettext("%(step)s, then wait at least %(time)s") % wait
        return text


@dataclass(frozen=True, slots=True)
class StepsShown:
    """The steps of a recipe, and why it is not known how it cools where that is so, or it is ``used_up``.

    ``days`` say how much of it is made on which day, where that are several: each is a batch of its own.
    ``source`` is who says that it is safe at room temperature, and by what.
    """

    steps: tuple[StepShown, ...]
    missing: str = ""
    days: tuple[str, ...] = ()
    source: str = ""
    used_up: bool = False


def steps_shown(recipe: Recipe, rows: Iterable[BatchRow], together: Collection[tuple[int, int]] = ()) -> StepsShown:
    """Write the steps of a recipe as its batches, of ``rows``, cool."""
    own = [row for row in rows if row.cold.recipe.code == recipe.code]
    missing = next((row.cold.missing for row in own if row.cold.missing is not None), None)
    steps = (_step_shown(recipe, at, own, together) for at in range(len(recipe.steps)))
    source = recipe.shelf_stable_source.strip() if recipe.shelf_stable else ""
    words = "" if missing is None else missing_sentence(missing)
    used_up = missing is not None and missing.reason.code in USED_UP
    return StepsShown(tuple(steps), words, _days(own), source, used_up)


def _step_shown(recipe: Recipe, at: int, rows: list[BatchRow], together: Collection[tuple[int, int]]) -> StepShown:
    step = recipe.steps[at]
    ending = _ending(at, rows)
    if not ending:
        return StepShown(step, display.duration(step.minutes) if step.minutes else "")
    slowest = max((times for _, times in ending), key=longest)
    part = cold_part(Task(recipe, at, Fraction(0), step, None, Fraction(0), 1), "", slowest)
    coolings = {
        _day(row): cooling_shown(times, None, together=row.is_among(together)) for row, times in reversed(ending)
    }
    return StepShown(step, part.least, part.until, tuple(reversed(coolings.items())))


def _ending(at: int, rows: list[BatchRow]) -> list[tuple[BatchRow, BatchTimes]]:
    """Return the coolings that end with a step, with the rows they are of."""
    return [(row, times) for row in rows for times, _ in row.times if times.cycle.last_at == at]


def _days(rows: list[BatchRow]) -> tuple[str, ...]:
    whole = {_day(row): mass_words(row.cold.batches.grams) for row in rows if row.making is not None}
    return tuple(gettext("%(amount)s %(day)s") % {"amount": grams, "day": day} for day, grams in whole.items())


def _day(row: BatchRow) -> str:
    return "".join(made_words(row))
