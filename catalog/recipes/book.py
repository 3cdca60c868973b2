"""Recipes with lines and steps: rows to Book values, and back; and steps for products too."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any, Final

from catalog.book.row_writing import create, remove_stale, upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal, decimal_or_none, exact, exact_or_none, measure, measure_or_none
from catalog.products.models import Fill
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from costing.contract import Book
from costing.contract import book as values

#: Columns of a step, in the order `step_of` takes them.
STEP_COLUMNS: Final = (
    "kind",
    "name",
    "role__code",
    "hands_fixed",
    "hands_each",
    "station__code",
    "minutes",
    "temperature_c",
    "wait_min",
    "hold_max",
    "text",
    "leaves_c",
    "attended",
)
#: Columns of a recipe's step beside them: what a hot batch stands in.
STANDING_COLUMNS: Final = (
    "vessel__name",
    "vessels",
    "depth_cm",
    "covered",
    "ice_bath",
    "stir_min",
    "bath_to_c",
    "bath_min",
)


def step_of(row: Iterable[Any], **more: Any) -> values.Step:
    """Convert the columns that recipes and products share to a step of a Book; ``more`` are fields of one of them."""
    kind, name, role, fixed, each, station, minutes, temperature, wait, hold, text, leaves, attended = row
    return values.Step(
        kind=kind,
        name=name,
        role=role,
        hands_fixed=exact(fixed),
        hands_each=exact(each),
        station=station,
        minutes=exact_or_none(minutes),
        temperature_c=exact_or_none(temperature),
        wait_min=exact_or_none(wait),
        hold_max=exact_or_none(hold),
        text=text,
        leaves_c=exact_or_none(leaves),
        attended=attended,
        **more,
    )


def _recipe_step(row: Iterable[Any]) -> values.Step:
    *shared, vessel, vessels, depth, covered, ice_bath, stir, to_c, minutes = row
    standing = {"vessel": vessel, "vessels": vessels, "depth_cm": exact_or_none(depth)}
    bath = {"stir_min": exact_or_none(stir), "bath_to_c": exact_or_none(to_c), "bath_min": exact_or_none(minutes)}
    return step_of(shared, covered=bool(covered), ice_bath=bool(ice_bath), **standing, **bath)


def step_columns(step: values.Step, position: int, keys: Keys) -> dict[str, Any]:
    """Return the columns of a step's row that recipes and products share."""
    return {
        "position": position,
        "kind": step.kind,
        "name": step.name,
        "role_id": None if step.role is None else keys["roles"][step.role],
        "hands_fixed": decimal(step.hands_fixed),
        "hands_each": decimal(step.hands_each),
        "station_id": None if step.station is None else keys["stations"][step.station],
        "minutes": decimal_or_none(step.minutes),
        "temperature_c": decimal_or_none(step.temperature_c),
        "wait_min": decimal_or_none(step.wait_min),
        "hold_max": decimal_or_none(step.hold_max),
        "text": step.text,
        "leaves_c": decimal_or_none(step.leaves_c),
        "attended": step.attended,
    }


def _standing_columns(step: values.Step, keys: Keys) -> dict[str, Any]:
    return {
        "vessel_id": None if step.vessel is None else keys["vessels"][step.vessel],
        "vessels": step.vessels,
        "depth_cm": decimal_or_none(step.depth_cm),
        "covered": step.covered,
        "ice_bath": step.ice_bath,
        "stir_min": decimal_or_none(step.stir_min),
        "bath_to_c": decimal_or_none(step.bath_to_c),
        "bath_min": decimal_or_none(step.bath_min),
    }


def _read(book: Book, cache: RecordCache) -> Book:
    """Add the recipes; three queries."""
    lines = Rows(RecipeLine, "recipe_id", "amount", "ingredient__code", "part__code", "component__code")
    steps = Rows(RecipeStep, "recipe_id", *STEP_COLUMNS, *STANDING_COLUMNS)
    columns = (
        "pk",
        "code",
        "name",
        "loss",
        "batch_limit",
        "batch_min",
        "note",
        "air",
        "loss_of",
        "active",
        "shelf_stable",
        "shelf_stable_source",
        "never_hot",
        "never_hot_reason",
        "kg_per_place",
    )
    rows = Rows(Recipe, *columns)
    return replace(book, recipes=cache.records("recipes", rows, (lines, steps), _recipe))


def _recipe(row: tuple[Any, ...], lines: list[Any], steps: list[Any]) -> values.Recipe:
    _, code, name, loss, limit, least, note, air, loss_of, active, *claims, per_place = row
    shelf_stable, source, never_hot, why_never = claims
    return values.Recipe(
        code,
        name,
        tuple(values.RecipeLine(measure(amount), *what) for amount, *what in lines),
        exact(loss),
        measure_or_none(limit),
        measure_or_none(least),
        tuple(map(_recipe_step, steps)),
        note,
        exact(air),
        loss_of,
        active,
        shelf_stable,
        source,
        never_hot,
        why_never,
        exact_or_none(per_place),
    )


def _write(book: Book, keys: Keys) -> None:
    """Write the recipes without lines and steps."""
    keys["recipes"] = upsert(
        Recipe(
            code=recipe.code,
            name=recipe.name,
            loss=decimal(recipe.loss),
            loss_of=recipe.loss_of,
            air=decimal(recipe.air),
            batch_limit=recipe.batch_limit.text if recipe.batch_limit else "",
            batch_min=recipe.batch_min.text if recipe.batch_min else "",
            note=recipe.note,
            active=recipe.active,
            shelf_stable=recipe.shelf_stable,
            shelf_stable_source=recipe.shelf_stable_source,
            never_hot=recipe.never_hot,
            never_hot_reason=recipe.never_hot_reason,
            kg_per_place=decimal_or_none(recipe.kg_per_place),
            position=i,
        )
        for i, recipe in enumerate(book.recipes)
    )


def _clear(keys: Keys) -> None:
    described = keys["recipes"]
    RecipeLine.objects.filter(recipe_id__in=described.values()).delete()
    RecipeStep.objects.filter(recipe_id__in=described.values()).delete()
    stale = set(Recipe.objects.exclude(pk__in=described.values()).values_list("pk", flat=True))
    # Delete their lines first: a recipe may be in a line of another that is deleted too.
    RecipeLine.objects.filter(recipe_id__in=stale - _needed(stale)).delete()
    remove_stale(Recipe, described)


def _needed(stale: set[int]) -> set[int]:
    """Return the recipes that remaining products and recipes still need."""
    needed = stale & set(Fill.objects.values_list("recipe_id", flat=True))
    lines = list(
        RecipeLine.objects.filter(component__isnull=False, recipe_id__in=stale).values_list("recipe_id", "component_id")
    )
    while True:
        more = {component for recipe, component in lines if recipe in needed} & stale - needed
        if not more:
            return needed
        needed |= more


def _write_details(book: Book, keys: Keys) -> None:
    create(RecipeLine, _lines(book, keys))
    create(
        RecipeStep,
        (
            RecipeStep(
                recipe_id=keys["recipes"][recipe.code],
                **step_columns(step, i, keys),
                **_standing_columns(step, keys),
            )
            for recipe in book.recipes
            for i, step in enumerate(recipe.steps)
        ),
    )


def _lines(book: Book, keys: Keys) -> Iterator[RecipeLine]:
    for recipe in book.recipes:
        for i, line in enumerate(recipe.lines):
            yield RecipeLine(
                recipe_id=keys["recipes"][recipe.code],
                position=i,
                ingredient_id=None if line.ingredient is None else keys["ingredients"][line.ingredient],
                part_id=None if line.part is None else keys["parts"][line.ingredient, line.part],
                component_id=None if line.recipe is None else keys["recipes"][line.recipe],
                amount=line.amount.text,
            )


SECTION: Final = Section(read=_read, write=_write, clear=_clear, write_details=_write_details)
