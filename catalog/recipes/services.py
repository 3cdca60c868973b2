"""Recipes: keep, copy, set aside, delete."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import ProtectedError

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient, Part
from catalog.products.models import Product
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep, Step
from catalog.recipes.step_services import StepData, recipe_steps_replace
from catalog.records.codes import free_code
from catalog.records.errors import CannotPrice, ChangedMeanwhile, InUse
from catalog.records.reasons import Reason


@dataclass(frozen=True, slots=True)
class RecipeLineData:
    """A line by codes: an ingredient, a part of it, or another recipe."""

    amount: str
    ingredient: str = ""
    part: str = ""
    recipe: str = ""


@dataclass(frozen=True, slots=True)
class RecipeData:
    """A whole recipe as its form checked it."""

    name: str
    lines: tuple[RecipeLineData, ...]
    loss: Decimal = Decimal(0)
    batch_limit: str = ""
    batch_min: str = ""
    note: str = ""
    active: bool = True
    steps: tuple[StepData, ...] = ()
    air: Decimal = Decimal(0)
    loss_of: str = Recipe.LossOf.WATER.value


def recipe_version(recipe: Recipe) -> str:
    """Return a mark of a recipe as it stands, to notice that somebody changed it meanwhile."""
    fields = [recipe.name, recipe.loss, recipe.batch_limit, recipe.batch_min, recipe.note, recipe.active]
    fields += [recipe.air, recipe.loss_of]
    lines = [(line.amount, line.ingredient_id, line.part_id, line.component_id) for line in recipe.lines.all()]
    return mark([fields, lines, step_marks(recipe.steps.all())])


def step_marks(steps: Iterable[Step]) -> list[list[str]]:
    """Return what a mark counts of each step."""
    names = [field.attname for field in Step._meta.get_fields() if hasattr(field, "attname")]
    # Only a product's steps say how warm they leave.
    return [[str(getattr(step, name, None)) for name in (*names, "leaves_c")] for step in steps]


def mark(content: Sequence[object]) -> str:
    """Return a short mark of some content."""
    return hashlib.sha256(repr(content).encode()).hexdigest()[:20]


@transaction.atomic(durable=True)
def recipe_save(*, recipe_id: int | None, keep: RecipeData, seen: str, by: str, at: datetime) -> Recipe:
    """Keep a new recipe (``recipe_id`` None) or put this one in place of what stood.

    Raises
    ------
    ChangedMeanwhile
        When it is no longer what ``seen`` marks, or is gone.
    CannotPrice
        When it would need itself, or names something that is gone.
    """
    recipe = _opened(recipe_id, seen, keep.name)
    recipe.name, recipe.loss, recipe.note, recipe.active = keep.name, keep.loss, keep.note, keep.active
    recipe.batch_limit, recipe.batch_min = keep.batch_limit, keep.batch_min
    recipe.air, recipe.loss_of = keep.air, keep.loss_of
    recipe.save()
    _lines_replace(recipe, keep.lines)
    recipe_steps_replace(recipe=recipe, steps=keep.steps)
    catalog_changed()
    return recipe


def _opened(recipe_id: int | None, seen: str, name: str) -> Recipe:
    if recipe_id is None:
        codes = Recipe.objects.values_list("code", flat=True)
        return Recipe(code=free_code(name, codes, otherwise="recipe"), position=Recipe.objects.count())
    recipe = Recipe.objects.filter(pk=recipe_id).first()
    if recipe is None or (seen and recipe_version(recipe) != seen):
        raise ChangedMeanwhile(what=name)
    return recipe


def _lines_replace(recipe: Recipe, lines: Sequence[RecipeLineData]) -> None:
    goods = {row.code: row for row in Ingredient.objects.filter(code__in=[line.ingredient for line in lines])}
    recipes = {row.code: row for row in Recipe.objects.filter(code__in=[line.recipe for line in lines])}
    parts = {(part.ingredient_id, part.code): part for part in Part.objects.filter(ingredient__in=goods.values())}
    recipe.lines.all().delete()
    try:
        rows = [_line(recipe, place, line, goods, recipes, parts) for place, line in enumerate(lines)]
    except KeyError as error:
        raise CannotPrice(problem=Reason("gone", {"name": error.args[0]})) from error
    RecipeLine.objects.bulk_create(rows)
    if _needs_itself(recipe.pk):
        raise CannotPrice(problem=Reason("needs_itself", {"name": recipe.name}))


def _line(
    recipe: Recipe,
    place: int,
    line: RecipeLineData,
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


def _needs_itself(start: int) -> bool:
    uses: dict[int, list[int]] = {}
    pairs = RecipeLine.objects.filter(component__isnull=False).values_list("recipe_id", "component_id")
    for user, used in pairs:
        uses.setdefault(user, []).append(used or 0)
    waiting, met = list(uses.get(start, ())), set[int]()
    while waiting:
        node = waiting.pop()
        if node == start:
            return True
        if node not in met:
            met.add(node)
            waiting.extend(uses.get(node, ()))
    return False


@transaction.atomic(durable=True)
def recipe_copy(*, recipe_id: int, name: str, amounts: Sequence[str] | None = None, by: str, at: datetime) -> Recipe:
    """Copy a recipe with its lines and steps under another name; ``amounts`` replace those of its lines in order.

    Raises
    ------
    ChangedMeanwhile
        When the recipe is gone or its lines are no longer as many as the amounts.
    """
    source = Recipe.objects.filter(pk=recipe_id).first()
    lines = list(source.lines.all()) if source else []
    if source is None or (amounts is not None and len(amounts) != len(lines)):
        raise ChangedMeanwhile(what=Reason("the_kind", {"kind": "recipe"}))
    steps = list(source.steps.all())
    codes = Recipe.objects.values_list("code", flat=True)
    copy = Recipe.objects.create(
        code=free_code(name, codes, otherwise="recipe"),
        name=name,
        loss=source.loss,
        loss_of=source.loss_of,
        air=source.air,
        batch_limit=source.batch_limit if amounts is None else "",
        batch_min=source.batch_min if amounts is None else "",
        note=source.note,
        position=Recipe.objects.count(),
    )
    for place, line in enumerate(lines):
        line.pk, line.recipe, line.position = None, copy, place
        line.amount = line.amount if amounts is None else amounts[place]
    RecipeLine.objects.bulk_create(lines)
    for step in steps:
        step.pk, step.recipe = None, copy
    RecipeStep.objects.bulk_create(steps)
    catalog_changed()
    return copy


def recipe_users(*, recipe: Recipe) -> list[str]:
    """Return the names of what still uses a recipe."""
    recipes = Recipe.objects.filter(lines__component=recipe).distinct().values_list("name", flat=True)
    products = Product.objects.filter(fills__recipe=recipe).distinct().values_list("name", flat=True)
    return [*recipes, *products]


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
    users = recipe_users(recipe=recipe)
    if users:
        raise InUse(what=recipe.name, users=[Reason("names", {"names": users})])
    try:
        recipe.delete()
    except ProtectedError as error:
        raise InUse(what=recipe.name, users=[Reason("of_the_catalog")]) from error
    catalog_changed()


@transaction.atomic(durable=True)
def recipe_set_active(*, recipe_id: int, active: bool, by: str, at: datetime) -> None:
    """Mark a recipe as used or no longer used."""
    if Recipe.objects.filter(pk=recipe_id).exclude(active=active).update(active=active):
        catalog_changed()
