"""Ingredients with their packs as rows of a spreadsheet: written, undone, and back into rows."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django.utils import timezone

from catalog.kitchen.selectors import kitchen, local_day
from catalog.pantry.common import common_of
from catalog.pantry.common_services import NewIngredient, ingredients_add
from catalog.pantry.free_by import note_against, renamed
from catalog.pantry.models import Ingredient, Pack, Part, Supplier
from catalog.pantry.services import PackPrice, ingredient_version, pack_prices_set
from catalog.price_lists.imports import (
    ingredients_standing,
    ingredients_undo,
    ingredients_with_parts,
    packs_to_end,
    packs_undo,
    suppliers_undo,
)
from catalog.records.numbers import decimal_comma
from catalog.records.reasons import Reason
from catalog.records.rows import next_position
from catalog.spreadsheets.cells import measure_cell, number_cell, one_line
from catalog.spreadsheets.ingredient_plan import (
    COLUMNS,
    FIGURES,
    IngredientContent,
    in_force,
    ingredients_plan,
    packs_by_size,
    same_measure,
)
from catalog.spreadsheets.plan import Cell, Item, Kind, Made
from catalog.spreadsheets.recipe_plan import one_text
from catalog.spreadsheets.values import as_text, named_below

#: What another name takes back: answers of "free" (``free_by.renamed``).
_OF_NAME: Final = ("allergen_answers", "named_only", "touches_food")
_COLUMNS: Final = ("name", *FIGURES, *_OF_NAME)


def ingredients_write(items: Sequence[Item], by: str, at: datetime) -> Made:
    """Write ingredients that are new or change, and their new prices from today on; return what undoing needs."""
    contents: list[IngredientContent] = [item.content for item in items]
    changing = [content.stored for content in contents if content.stored is not None]
    before = {one.pk: _texts(one) for one in changing}
    added = _add([content for content in contents if content.stored is None])
    for content in contents:
        if content.stored is not None:
            called = content.stored.name
            for name, value in content.columns.items():
                setattr(content.stored, name, value)
            renamed(content.stored, called)
            note_against(content.stored)
    Ingredient.objects.bulk_update(changing, _COLUMNS, batch_size=100)
    keys = {one.pk for one in added}
    made = _packs_write(contents, local_day(at))
    written = ingredients_with_parts([*keys, *before])
    changed = [one for one in written if one.pk in before and _texts(one) != before[one.pk]]
    return made | {
        "ingredients": [[one.pk, ingredient_version(one)] for one in written if one.pk in keys],
        "changed": [[one.pk, ingredient_version(one), before[one.pk]] for one in changed],
    }


def _texts(one: Ingredient) -> Made:
    return {name: as_text(getattr(one, name)) for name in _COLUMNS}


def _add(contents: Sequence[IngredientContent]) -> list[Ingredient]:
    """Add ingredients: those of an export as their rows say, the others with the figures of the common one."""
    coded = [content for content in contents if content.code]
    named = [content for content in contents if not content.code]
    position = next_position(Ingredient)
    added = Ingredient.objects.bulk_create(
        (
            Ingredient(code=one.code, name=one.name, base=one.base, position=position + at, **one.columns)
            for at, one in enumerate(coded)
        ),
        batch_size=100,
    )
    new = [NewIngredient(one.name, common_of(one.name), one.base or Ingredient.Base.GRAM) for one in named]
    common = ingredients_add(new, country=kitchen().country) if new else []
    figured: list[Ingredient] = []
    for ingredient, content in zip(common, named, strict=True):
        base = content.base or ingredient.base
        if content.columns or base != ingredient.base:
            figured.append(ingredient)
        ingredient.base = base
        for name, value in content.columns.items():
            setattr(ingredient, name, value)
        note_against(ingredient)
    Ingredient.objects.bulk_update(figured, ("base", *_COLUMNS), batch_size=100)
    for ingredient, content in zip([*added, *common], [*coded, *named], strict=True):
        content.stored = ingredient
    _parts_add([*coded, *named])
    return [*added, *common]


def _parts_add(contents: Iterable[IngredientContent]) -> None:
    wanted = [(content.stored, place, part) for content in contents for place, part in enumerate(content.parts)]
    there = set(
        Part.objects.filter(ingredient__in={one.pk for one, _, _ in wanted if one}).values_list("ingredient", "code")
    )
    Part.objects.bulk_create(
        (
            Part(ingredient=one, position=place, **part)
            for one, place, part in wanted
            if one and (one.pk, part["code"]) not in there
        ),
        batch_size=100,
    )


def _packs_write(contents: Sequence[IngredientContent], today: date) -> Made:
    by_supplier: dict[str, list[PackPrice]] = {}
    names: dict[str, str] = {}
    for content in contents:
        for pack in content.packs:
            names.setdefault(pack.supplier.casefold(), pack.supplier)
            price = PackPrice(content.stored.pk if content.stored else 0, pack.size, pack.price)
            by_supplier.setdefault(pack.supplier.casefold(), []).append(price)
    there = set(Supplier.objects.values_list("pk", flat=True))
    suppliers = _suppliers(names)
    made: Made = {"packs": [], "ended": [], "suppliers": [one.pk for one in suppliers.values() if one.pk not in there]}
    for key, prices in by_supplier.items():
        supplier = suppliers.get(key)
        made["ended"] += ([*one, today.isoformat()] for one in packs_to_end(supplier, today, prices))
        packs = pack_prices_set(prices=prices, starts=today, supplier=supplier)
        made["packs"] += ([pack.pk, str(pack.price), today.isoformat()] for pack in packs)
    return made


def _suppliers(names: dict[str, str]) -> dict[str, Supplier]:
    """Return the suppliers of these names, created where there are none; one without a name is none."""
    known = {one.name.casefold(): one for one in Supplier.objects.all()}
    new = [Supplier(name=name) for key, name in names.items() if name and key not in known]
    return known | {one.name.casefold(): one for one in Supplier.objects.bulk_create(new)}


def ingredients_take_back(made: Made, by: str, at: datetime) -> tuple[int, list[Reason]]:
    """Remove prices and ingredients that imports added, and put figures back, where nobody changed or used them."""
    left: list[Reason] = []
    removed, standing = 0, ingredients_standing(made.get("ingredients", ()))
    for day in sorted({starts for *_, starts in made.get("packs", ())}, reverse=True):
        recorded = [one[:2] for one in made["packs"] if one[2] == day]
        ended = [one[:2] for one in made["ended"] if one[2] == day]
        count, stays = packs_undo(recorded, ended, date.fromisoformat(day), standing)
        removed, left = removed + count, left + stays
    back = _put_back(made.get("changed", ()), left)
    gone, stays = ingredients_undo(made.get("ingredients", ()))
    stays += suppliers_undo(made.get("suppliers", ()))
    # A price is counted with its ingredient, or by itself where nothing else of it was changed.
    return max(back + gone, removed), left + stays


_NUMBERS: Final = ("density", "grams_each", "yield_share")


def _put_back(changed: Iterable[Sequence[Any]], left: list[Reason]) -> int:
    wanted = {pk: (version, before) for pk, version, before in changed}
    back = []
    for one in ingredients_with_parts(list(wanted)):
        version, before = wanted[one.pk]
        if ingredient_version(one) != version:
            left.append(Reason("ingredient_changed", {"name": one.name}))
            continue
        for name, value in before.items():
            setattr(one, name, Decimal(value) if value is not None and name in _NUMBERS else value)
        back.append(one)
    Ingredient.objects.bulk_update(back, _COLUMNS, batch_size=100)
    return len(back)


def ingredients_export() -> list[dict[str, Cell]]:
    """Return all ingredients, each pack in force today in a row, then its parts."""
    today, comma = local_day(timezone.now()), decimal_comma(kitchen().locale)
    packs: dict[int, list[tuple[str, Pack]]] = {}
    for (pk, _, supplier), some in packs_by_size().items():
        standing = [pack for pack in some if in_force(pack, today)]
        packs.setdefault(pk, []).extend((supplier, pack) for pack in standing[-1:])
    records: list[dict[str, Cell]] = []
    for one in Ingredient.objects.prefetch_related("parts"):
        own = sorted(packs.get(one.pk, ()), key=lambda found: (found[0], same_measure(found[1].size), found[1].size))
        records += _rows(one, [pack for _, pack in own], comma)
    return records


def _rows(one: Ingredient, packs: Sequence[Pack], comma: bool) -> list[dict[str, Cell]]:
    rows: list[dict[str, Cell]] = [
        {
            "pack": measure_cell(pack.size, comma=comma),
            "price": number_cell(pack.price, comma=comma),
            "supplier": one_line(pack.supplier.name) if pack.supplier else None,
        }
        for pack in packs
    ] or [{}]
    rows[0] |= {
        "counted": "yes" if one.base == Ingredient.Base.EACH else "no",
        "density": number_cell(one.density, comma=comma),
        "grams_each": number_cell(one.grams_each, comma=comma),
        "yield_share": number_cell(one.yield_share * 100, comma=comma),
        "note": one_text(one.note),
    }
    name = one_line(one.name)
    parts: list[dict[str, Cell]] = [
        {
            "code": one.code,
            "ingredient": f"{name}: {one_line(part.code)}",
            "share": number_cell(part.share * 100, comma=comma),
            "density": number_cell(part.density, comma=comma),
            "grams_each": number_cell(part.grams_each, comma=comma),
            "joint": one_line(part.joint),
        }
        for part in one.parts.all()
    ]
    return [*({"code": one.code, "ingredient": name, **row} for row in rows), *parts]


def _lines(lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return named_below(lines, "ingredient", "code")


KIND: Final = Kind(
    columns=COLUMNS,
    lines=_lines,
    plan=ingredients_plan,
    write=ingredients_write,
    undo=ingredients_take_back,
    export=ingredients_export,
)
