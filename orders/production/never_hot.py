"""Rows of a sheet whose recipe counts as never hot by the owner's word."""

from collections.abc import Iterable, Iterator

from catalog.cooling.never_hot_claims import never_hot_claims
from costing.contract import Recipe
from orders.production.demand import Demand
from orders.production.tasks import Task


def never_hot_rows(work: Iterable[Task], found: Demand) -> Iterator[bool]:
    """Yield for each task whether it is the first of such a recipe."""
    left = {claim.code for claim in never_hot_claims(found.units, found.book) if claim.counts_by == "tick"}
    for task in work:
        first = isinstance(task.of, Recipe) and task.of.code in left
        if first:
            left.discard(task.of.code)
        yield first
