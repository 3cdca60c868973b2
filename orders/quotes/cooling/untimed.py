"""What a rule without times leaves open: batches that take long to get cold."""

from dataclasses import dataclass
from typing import Final

from costing.chilling import Trial
from costing.contract import Book
from orders.quotes.cooling.selectors import Units, hot_batches

#: What guidance asks for at most where the law says only "as quickly as possible" [min]: one to two hours. The Food
#: Standards Agency's wording, from memory; the regulations themselves state no number (the law table in `food_codes`).
GUIDANCE_MIN: Final = 120.0


@dataclass(frozen=True, slots=True)
class Untimed:
    """A hot batch under a rule that states no times, and how long it takes to get cold [min]; None for never."""

    name: str
    rule: str
    likely: float | None
    slow: float | None


def cools_slowly(found: Trial) -> bool:
    """Return whether what cools by a rule without times takes longer than guidance asks for."""
    return found.verdict == "untimed" and (found.cold_slow is None or found.cold_slow > GUIDANCE_MIN)


def untimed(units: Units, book: Book) -> tuple[Untimed, ...]:
    """Return the hot batches of a table that take longer than guidance asks for, where the rule states no times."""
    return tuple(
        Untimed(one.recipe.name, each.cycle.plan.rule.title, each.trial.cold_likely, each.trial.cold_slow)
        for one in hot_batches(units, book)
        for each in one.times
        if cools_slowly(each.trial)
    )
