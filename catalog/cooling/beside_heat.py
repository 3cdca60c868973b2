"""Steps of a recipe that state no temperature although another step of it states heat: each may be a second heating.

One “Leaves at” answers for its own heating alone. A step before it, or after the cold that ended it, is answered for by
a person like the steps of what is never hot (`never_hot_claims`), or by how warm it leaves. Between what leaves hot and
the cold all counts as hot already; only what is called after heat there is a heating of its own.
"""

from collections.abc import Iterator, Sequence

from catalog.cooling.stages import is_cold, station_of
from catalog.recipes.heat_words import step_heats
from catalog.recipes.never_hot_words import heat_claimed_away
from catalog.recipes.perishables import room_safe
from catalog.records.reasons import Reason
from costing.chilling import HOT_C
from costing.contract import Book, Product, Recipe, Step


def states_heat(recipe: Recipe) -> bool:
    """Return whether a step of a recipe heats, or states how warm it leaves."""
    return any(step.heats or step.leaves_c is not None for step in recipe.steps)


def cold_beside(recipe: Recipe, book: Book) -> tuple[Step, ...]:
    """Return the steps that count as cold without anything stated, in a recipe of which another step states heat."""
    return unstated_cold(recipe, book) if states_heat(recipe) and not room_safe(recipe, book) else ()


def unstated_cold(made: Recipe | Product, book: Book) -> tuple[Step, ...]:
    """Return the steps that state nothing and are no stay in the cold, nor between what leaves hot and the cold."""
    return tuple(step for step, hot in _unstated(made, book) if not hot)


def heat_beside(recipe: Recipe, book: Book, ready: list[str]) -> Reason | None:
    """Return that a step speaks of heat and states none, where another step does; None where none does.

    ``ready`` are the names of what goes in ready made.
    """
    degrees = book.kitchen.described.degrees
    speak = [
        str(step)
        for step, hot in _unstated(recipe, book)
        if step_heats(step.name, step.text, degrees)
        or (not hot and heat_claimed_away(step.name, [step.text], degrees, ready))
    ]
    return steps_speak("heat_in_step", "product", recipe.name, speak)


def steps_speak(code: str, of: str, name: str, steps: Sequence[str]) -> Reason | None:
    """Return that steps speak of heat: it is asked about the first, and the others are named; None without any."""
    return Reason(code, {of: name, "step": steps[0], "more": list(steps[1:])}) if steps else None


def _unstated(made: Recipe | Product, book: Book) -> Iterator[tuple[Step, bool]]:
    """Yield the steps that state nothing, and whether each is between what leaves hot and the cold."""
    hot = False
    for step in made.steps:
        if step.leaves_c is not None:
            hot = float(step.leaves_c) >= HOT_C
        elif is_cold(step, station_of(step, book)):
            hot = False
        elif not step.heats and step.temperature_c is None:
            yield step, hot
