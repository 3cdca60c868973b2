"""Writing recipes that rows hold, all in few statements, and undoing it."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from catalog.kitchen.selectors import kitchen
from catalog.pantry.common import common_of
from catalog.pantry.common_services import NewIngredient, ingredients_add
from catalog.pantry.models import Ingredient
from catalog.pantry.services import ingredient_version
from catalog.price_lists.imports import ingredients_undo, ingredients_with_parts
from catalog.products.models import Fill
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.recipes.room_safe_claims import claims_take_back
from catalog.recipes.selectors import recipe_users, recipes_whole
from catalog.recipes.services import check_source, loop_from, recipe_version, uses_stored
from catalog.records.codes import free_codes
from catalog.records.errors import CannotPrice
from catalog.records.reasons import Reason
from catalog.records.rows import next_position
from catalog.spreadsheets.known import Good, folded, labelled
from catalog.spreadsheets.plan import Item, Made
from catalog.spreadsheets.recipe_plan import RecipeContent, columns_back, stored_before

#: Most keys that one statement names.
_BATCH: Final = 500
_COLUMNS: Final = ("loss", "batch_limit", "batch_min", "note", "shelf_stable")
_LONGEST_NAME: Final = 120


def recipes_write(items: Sequence[Item], by: str, at: datetime) -> Made:
    """Write recipes that are new or change, with the ingredients they add; return what undoing needs."""
    contents: list[RecipeContent] = [item.content for item in items]
    before = {content.stored.pk: stored_before(content.stored) for content in contents if content.stored}
    keys = {name: recipe.pk for name, recipe in labelled(Recipe.objects.all()).items()}
    added = new_ingredients(line.good for content in contents for line in content.read.lines if line.good)
    new = _recipes_add([content for content in contents if content.stored is None])
    keys |= {folded(recipe.name): recipe.pk for recipe in new}
    _recipes_change([content for content in contents if content.stored])
    _lines_write(contents, keys, added)
    _steps_write(contents, keys)
    claims_take_back(one.stored.pk for one in contents if one.stored and one.makes_otherwise)
    written = _whole([*(recipe.pk for recipe in new), *before])
    for recipe in written:
        if recipe.shelf_stable:
            check_source(recipe)
    return {
        "recipes": [[recipe.pk, recipe_version(recipe)] for recipe in written if recipe.pk not in before],
        "changed": [[one.pk, recipe_version(one), before[one.pk]] for one in written if one.pk in before],
        "ingredients": [
            [one.pk, ingredient_version(one)] for one in ingredients_with_parts([one.pk for one in added.values()])
        ],
    }


def new_ingredients(goods: Iterable[Good]) -> dict[str, Ingredient]:
    """Add the ingredients that rows add; return them by their names in lower case."""
    names = {good.subject.name.casefold(): good.subject for good in goods if good.subject.pk is None}
    new = [NewIngredient(one.name, common_of(one.name), one.base or Ingredient.Base.GRAM) for one in names.values()]
    added = ingredients_add(new, country=kitchen().country) if new else []
    return {one.name.casefold(): one for one in added}


def _recipes_add(contents: Sequence[RecipeContent]) -> list[Recipe]:
    codes = free_codes(Recipe, [content.read.name for content in contents], otherwise="recipe")
    position = next_position(Recipe)
    return Recipe.objects.bulk_create(
        (
            Recipe(code=code, name=content.read.name, position=position + at, **content.columns)
            for at, (content, code) in enumerate(zip(contents, codes, strict=True))
        ),
        batch_size=100,
    )


def _recipes_change(contents: Sequence[RecipeContent]) -> None:
    changed = []
    for content in contents:
        if content.stored is not None and content.columns:
            for name, value in content.columns.items():
                setattr(content.stored, name, value)
            changed.append(content.stored)
    Recipe.objects.bulk_update(changed, _COLUMNS, batch_size=100)


def _lines_write(contents: Sequence[RecipeContent], keys: Mapping[str, int], added: Mapping[str, Ingredient]) -> None:
    replaced = [content.stored.pk for content in contents if content.stored and content.lines]
    _delete(RecipeLine, replaced)
    rows = []
    for content in contents:
        owner = content.stored.pk if content.stored else keys[folded(content.read.name)]
        for place, line in enumerate(content.read.lines if content.lines else ()):
            columns: dict[str, Any] = {"component_id": keys[line.recipe]} if line.recipe else _good(line.good, added)
            rows.append(RecipeLine(recipe_id=owner, position=place, amount=line.amount, **columns))
    RecipeLine.objects.bulk_create(rows, batch_size=_BATCH)


def _good(good: Good | None, added: Mapping[str, Ingredient]) -> dict[str, Any]:
    if good is None:
        return {}
    return {"ingredient_id": good.subject.pk or added[good.subject.name.casefold()].pk, "part_id": good.part}


def _steps_write(contents: Sequence[RecipeContent], keys: Mapping[str, int]) -> None:
    RecipeStep.objects.bulk_create(
        (
            RecipeStep(
                recipe_id=content.stored.pk if content.stored else keys[folded(content.read.name)],
                position=place,
                **({"name": step} if len(step) <= _LONGEST_NAME else {"text": step}),
            )
            for content in contents
            for place, step in enumerate(content.steps)
        ),
        batch_size=_BATCH,
    )


def _whole(keys: Sequence[int]) -> list[Recipe]:
    return [one for some in _batched(keys) for one in recipes_whole().filter(pk__in=some)]


def _batched(keys: Sequence[int]) -> list[Sequence[int]]:
    return [keys[at : at + _BATCH] for at in range(0, len(keys), _BATCH)]


def _delete(model: type[RecipeLine] | type[RecipeStep], owners: Sequence[int]) -> None:
    for some in _batched(owners):
        model._default_manager.filter(recipe__in=some).delete()


def recipes_undo(made: Made, by: str, at: datetime) -> tuple[int, list[Reason]]:
    """Put changed recipes back, and delete those that were added, where nobody changed or used them since.

    Raises
    ------
    CannotPrice
        If a recipe as it was would need itself by now.
    """
    left: list[Reason] = []
    back = _put_back(made.get("changed", ()), left)
    gone = _remove(dict(made.get("recipes", ())), left)
    _, used = ingredients_undo(made.get("ingredients", ()))
    return back + gone, left + used


def _put_back(changed: Iterable[Sequence[Any]], left: list[Reason]) -> int:
    wanted = {pk: (version, before) for pk, version, before in changed}
    rows = _whole(list(wanted))
    there = [set(Ingredient.objects.values_list("pk", flat=True)), set(Recipe.objects.values_list("pk", flat=True))]
    back = []
    for recipe in rows:
        version, before = wanted[recipe.pk]
        if recipe_version(recipe) != version:
            left.append(Reason("recipe_changed", {"name": recipe.name}))
        elif any(one and one not in there[0] for _, one, _, _ in before["lines"]) or any(
            one and one not in there[1] for *_, one in before["lines"]
        ):
            left.append(Reason("recipe_lacks", {"name": recipe.name}))
        else:
            back.append((recipe, before))
    _restore(back)
    return len(back)


def _restore(back: Sequence[tuple[Recipe, Mapping[str, Any]]]) -> None:
    keys = [recipe.pk for recipe, _ in back]
    _delete(RecipeLine, keys)
    _delete(RecipeStep, [recipe.pk for recipe, before in back if before.get("no_steps")])
    lines = []
    for recipe, before in back:
        for name, value in columns_back(before).items():
            setattr(recipe, name, value)
        for place, (amount, good, part, component) in enumerate(before["lines"]):
            lines.append(
                RecipeLine(
                    recipe_id=recipe.pk,
                    position=place,
                    amount=amount,
                    ingredient_id=good,
                    part_id=part,
                    component_id=component,
                )
            )
    Recipe.objects.bulk_update([recipe for recipe, _ in back], _COLUMNS, batch_size=100)
    RecipeLine.objects.bulk_create(lines, batch_size=_BATCH)
    # What a recipe as it was says of itself holds again; of what uses it nobody knows.
    claims_take_back(keys, but=keys)
    uses = uses_stored() if back else {}
    for recipe, _ in back:
        if loop_from(uses, recipe.pk):
            raise CannotPrice(problem=Reason("needs_itself", {"name": recipe.name}))


def _remove(versions: Mapping[int, str], left: list[Reason]) -> int:
    """Delete recipes that were added; one that something else uses stays, and so does what it uses itself."""
    rows = {recipe.pk: recipe for recipe in _whole(list(versions))}
    held = {pk for pk, recipe in rows.items() if recipe_version(recipe) != versions[pk]}
    left += (Reason("recipe_changed", {"name": rows[pk].name}) for pk in held)
    used = set(Fill.objects.values_list("recipe_id", flat=True).distinct()) & set(rows) - held
    uses = uses_stored()
    while True:
        staying = [own for user, own in uses.items() if user not in rows or user in held | used]
        more = {pk for own in staying for pk in own} & set(rows) - held - used
        if not more:
            break
        used |= more
    users = recipe_users(sorted(used)) if used else {}
    named = {pk: [user.name for user in users[pk]] for pk in sorted(used)}
    left += (Reason("recipe_used", {"name": rows[pk].name, "users": names}) for pk, names in named.items())
    gone = [pk for pk in rows if pk not in held | used]
    _delete(RecipeLine, gone)
    for some in _batched(gone):
        Recipe.objects.filter(pk__in=some).delete()
    return len(gone)
