"""Recipes: save, copy, archive, delete."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient, Part
from catalog.recipes.cost_basis import LineDraft
from catalog.recipes.models import Recipe, RecipeLine
from catalog.recipes.perishables import stored_perishables
from catalog.recipes.room_safe_claims import claims_take_back, made_of
from catalog.recipes.room_sources import basis_of
from catalog.recipes.selectors import recipe_user_names
from catalog.recipes.step_services import StepData, recipe_steps_replace, step_versions
from catalog.records.errors import CannotPrice, ChangedMeanwhile, SourceMissing, SourceTooShort
from catalog.records.reasons import Reason
from catalog.records.rows import copy_rows, new_row, remove
from catalog.records.versions import existing_unchanged, version_mark


@dataclass(frozen=True, slots=True)
class RecipeData:
    """A whole recipe as its form checked it; its lines name things by code."""

    name: str
    lines: tuple[LineDraft, ...]
    loss: Decimal = Decimal(0)
    batch_limit: str = ""
    batch_min: str = ""
    note: str = ""
    active: bool = True
    steps: tuple[StepData, ...] = ()
    air: Decimal = Decimal(0)
    loss_of: str = Recipe.LossOf.WATER.value
    shelf_stable: bool = False
    shelf_stable_source: str = ""
    never_hot: bool = False
    never_hot_reason: str = ""
    kg_per_place: Decimal | None = None


def recipe_version(recipe: Recipe) -> str:
    """Return the version of a recipe as stored, to detect a change by somebody else."""
    fields = [recipe.name, recipe.loss, recipe.batch_limit, recipe.batch_min, recipe.note, recipe.active]
    fields += [recipe.air, recipe.loss_of, recipe.shelf_stable, recipe.shelf_stable_source, recipe.never_hot]
    fields += [recipe.never_hot_reason]
    fields.append(str(recipe.kg_per_place))
    lines = [(line.amount, line.ingredient_id, line.part_id, line.component_id) for line in recipe.lines.all()]
    return version_mark([fields, lines, step_versions(recipe.steps.all())])


@dataclass(frozen=True, slots=True)
class RecipeSaved:
    """A recipe as it was saved, and the names of recipes that no longer count as safe at room temperature by it."""

    recipe: Recipe
    taken_back: tuple[str, ...] = ()


@transaction.atomic(durable=True)
def recipe_save(*, recipe_id: int | None, data: RecipeData, version: str, by: str, at: datetime) -> RecipeSaved:
    """Create a recipe (``recipe_id`` None) or replace one.

    Where its lines, loss or steps change, it no longer counts as safe at room temperature, and nothing that uses it
    does, unless another source is entered with the change.

    Raises
    ------
    Overtaken
        When its version is no longer ``version``.
    ChangedMeanwhile
        When it was deleted.
    CannotPrice
        When it would need itself, or refers to something that was deleted.
    SourceMissing
        When it is ticked as safe at room temperature, holds what asks for the cold, and nobody is named who says so.
    SourceTooShort
        When what is entered as its source does not rest on what shows it (``catalog/recipes/room_sources.py``).
    """
    if recipe_id is None:
        recipe, before = new_row(Recipe, data.name, otherwise="recipe"), None
    else:
        recipe = existing_unchanged(Recipe, recipe_id, version, recipe_version)
        before = made_of(recipe)
    anew = not recipe.shelf_stable or recipe.shelf_stable_source.strip() != data.shelf_stable_source.strip()
    recipe.name, recipe.loss, recipe.note, recipe.active = data.name, data.loss, data.note, data.active
    recipe.batch_limit, recipe.batch_min = data.batch_limit, data.batch_min
    recipe.air, recipe.loss_of, recipe.shelf_stable = data.air, data.loss_of, data.shelf_stable
    recipe.shelf_stable_source, recipe.never_hot = data.shelf_stable_source.strip(), data.never_hot
    recipe.kg_per_place, recipe.never_hot_reason = data.kg_per_place, data.never_hot_reason.strip()
    recipe.save()
    _lines_replace(recipe, data.lines)
    recipe_steps_replace(recipe=recipe, steps=data.steps)
    changed = [recipe.pk] if before is not None and before != made_of(recipe) else []
    taken_back = claims_take_back(changed, but=[recipe.pk] if anew else ()) if changed else []
    recipe.refresh_from_db(fields=["shelf_stable"])
    check_source(recipe)
    catalog_changed()
    return RecipeSaved(recipe, tuple(taken_back))


def check_source(recipe: Recipe) -> None:
    """Check that a recipe ticked as safe at room temperature has a source that shows it, where it needs one.

    Raises
    ------
    SourceMissing, SourceTooShort
        As :func:`recipe_save`.
    """
    if not recipe.shelf_stable:
        return
    source, parts = recipe.shelf_stable_source, list(recipe.lines.values_list("component_id", flat=True))
    lacks = basis_of(source, mixed=parts != [None]).lacks
    if lacks and (holds := stored_perishables(recipe.pk, recipe.name)):
        facts: dict[str, Any] = {"place": "shelf_stable_source", "what": recipe.name, "holds": list(holds)}
        raise SourceTooShort(**facts, lacks=lacks) if source else SourceMissing(**facts)


def _lines_replace(recipe: Recipe, lines: Sequence[LineDraft]) -> None:
    goods = {row.code: row for row in Ingredient.objects.filter(code__in=[line.ingredient for line in lines])}
    recipes = {row.code: row for row in Recipe.objects.filter(code__in=[line.recipe for line in lines])}
    parts = {(part.ingredient_id, part.code): part for part in Part.objects.filter(ingredient__in=goods.values())}
    recipe.lines.all().delete()
    try:
        rows = [_line(recipe, place, line, goods, recipes, parts) for place, line in enumerate(lines)]
    except KeyError as error:
        raise CannotPrice(problem=Reason("gone", {"name": error.args[0]})) from error
    RecipeLine.objects.bulk_create(rows)
    if loop_from(uses_stored(), recipe.pk):
        raise CannotPrice(problem=Reason("needs_itself", {"name": recipe.name}))


def _line(
    recipe: Recipe,
    place: int,
    line: LineDraft,
    goods: dict[str, Ingredient],
    recipes: dict[str, Recipe],
    parts: dict[tuple[int, str], Part],
) -> RecipeLine:
    good = goods[line.ingredient] if line.ingredient else None
    return RecipeLine(
        recipe=recipe,
        position=place,
        amount=line.amount,
        ingredient=good,
        part=parts[good.pk, line.part] if good and line.part else None,
        component=recipes[line.recipe] if line.recipe else None,
    )


def loop_from(uses: Mapping[Any, Iterable[Any]], start: Any) -> list[Any]:
    """Return the way from a recipe through those it uses back to itself, both ends named; empty without one."""
    way: list[tuple[Any, Iterator[Any]]] = [(start, iter(uses.get(start, ())))]
    met: set[Any] = set()
    while way:
        used = next(way[-1][1], None)
        if used is None:
            way.pop()
        elif used == start:
            return [*(node for node, _ in way), start]
        elif used not in met:
            met.add(used)
            way.append((used, iter(uses.get(used, ()))))
    return []


def uses_stored() -> dict[int, list[int]]:
    """Return the recipes that each stored recipe uses."""
    uses: dict[int, list[int]] = {}
    pairs = RecipeLine.objects.filter(component__isnull=False).values_list("recipe_id", "component_id")
    for user, used in pairs:
        uses.setdefault(user, []).append(used or 0)
    return uses


@transaction.atomic(durable=True)
def recipe_copy(*, recipe_id: int, name: str, amounts: Sequence[str] | None = None, by: str, at: datetime) -> Recipe:
    """Copy a recipe with its lines and steps under another name; ``amounts`` replace those of its lines in order.

    That it is safe at room temperature is not copied: its source is about the recipe it was entered for. That it is
    never hot is asked again.

    Raises
    ------
    ChangedMeanwhile
        When the recipe was deleted, or its number of lines differs from the number of amounts.
    """
    source = Recipe.objects.filter(pk=recipe_id).first()
    lines = list(source.lines.all()) if source else []
    if source is None or (amounts is not None and len(amounts) != len(lines)):
        raise ChangedMeanwhile(what=Reason("the_kind", {"kind": "recipe"}))
    copy = new_row(Recipe, name, otherwise="recipe")
    copy.name, copy.note = name, source.note
    copy.loss, copy.loss_of, copy.air = source.loss, source.loss_of, source.air
    copy.kg_per_place = source.kg_per_place
    if amounts is None:
        copy.batch_limit, copy.batch_min = source.batch_limit, source.batch_min
    copy.save()
    for place, line in enumerate(lines):
        line.position, line.amount = place, line.amount if amounts is None else amounts[place]
    copy_rows(lines, recipe=copy)
    copy_rows(source.steps.all(), recipe=copy)
    catalog_changed()
    return copy


@transaction.atomic(durable=True)
def recipe_delete(*, recipe_id: int, by: str, at: datetime) -> None:
    """Delete a recipe nothing uses.

    Raises
    ------
    InUse
        When recipes or products still use it.
    """
    recipe = Recipe.objects.filter(pk=recipe_id).first()
    if recipe is None:
        return
    names = recipe_user_names(recipe)
    users = [Reason("names", {"names": names})] if names else []
    remove(recipe, what=recipe.name, users=users, otherwise="of_the_catalog")
    catalog_changed()


@transaction.atomic(durable=True)
def recipe_set_active(*, recipe_id: int, active: bool, by: str, at: datetime) -> None:
    """Mark a recipe as used or no longer used."""
    if Recipe.objects.filter(pk=recipe_id).exclude(active=active).update(active=active):
        catalog_changed()
