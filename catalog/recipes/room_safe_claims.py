"""That a recipe is safe at room temperature holds for the recipe as it was: a change of what is made takes it back.

The source stays on record, so that it can be confirmed anew. Water activity and pH follow from what goes in and from
what is done with it (US Food Code 2022, 1-201.10(B), tables A and B), so lines, loss and steps count; a name or a note
does not. A recipe inside another is one of its lines, so a claim of whatever uses it is taken back too.
"""

from collections.abc import Iterable
from typing import Any

from catalog.recipes.models import Recipe, RecipeLine
from catalog.recipes.step_services import step_versions
from costing.measures.measure import MeasureError, parse_measure


def made_of(recipe: Recipe) -> tuple[Any, ...]:
    """Return what decides whether a recipe is safe at room temperature, as it is stored now, to be compared."""
    lines = RecipeLine.objects.filter(recipe=recipe).values_list("amount", "ingredient_id", "part_id", "component_id")
    whole = Recipe.objects.prefetch_related("steps").get(pk=recipe.pk)
    return (whole.loss, [(_measured(amount), *of) for amount, *of in lines], step_versions(whole.steps.all()))


def _measured(amount: str) -> Any:
    try:
        measure = parse_measure(amount)
    except MeasureError:
        return amount
    return measure.amount, measure.unit


def claims_take_back(changed: Iterable[int], *, but: Iterable[int] = ()) -> list[str]:
    """Take back that changed recipes, and all that use them, are safe at room temperature; return their names.

    ``but`` are recipes whose claim was just made anew. Without a transaction of its own.
    """
    users: dict[int, list[int]] = {}
    for user, used in RecipeLine.objects.filter(component__isnull=False).values_list("recipe_id", "component_id"):
        users.setdefault(used or 0, []).append(user)
    met, left = set[int](), list(changed)
    while left:
        pk = left.pop()
        if pk not in met:
            met.add(pk)
            left += users.get(pk, ())
    claimed = Recipe.objects.filter(pk__in=met - set(but), shelf_stable=True)
    names = list(claimed.values_list("name", flat=True))
    claimed.update(shelf_stable=False)
    return names
