"""Products as rows of a spreadsheet: written, undone, and back into rows."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from catalog.kitchen.selectors import kitchen
from catalog.products.models import Fill, Packaging, Product
from catalog.products.services import product_version
from catalog.recipes.models import Recipe
from catalog.records.codes import free_codes
from catalog.records.numbers import decimal_comma
from catalog.records.reasons import Reason
from catalog.records.rows import next_position
from catalog.records.uses import protected
from catalog.spreadsheets.cells import measure_cell, number_cell, one_line
from catalog.spreadsheets.known import PACKAGING, RECIPE, Pantry, folded, label_of, labelled
from catalog.spreadsheets.plan import Cell, Item, Kind, Made
from catalog.spreadsheets.product_plan import COLUMNS, FIGURES, ProductContent, products_plan
from catalog.spreadsheets.recipe_plan import one_text
from catalog.spreadsheets.values import as_text, named_below
from catalog.taxes.models import TaxCategory

_BATCH: Final = 500
_COLUMNS: Final = tuple("tax" if key == "tax_id" else key for key in FIGURES)


def products_write(items: Sequence[Item], by: str, at: datetime) -> Made:
    """Write products that are new or change; return what undoing needs."""
    contents: list[ProductContent] = [item.content for item in items]
    old = [content.stored for content in contents if content.stored is not None]
    before = {one.pk: _before(one) for one in old}
    for content in contents:
        if content.stored is not None:
            for name, value in content.columns.items():
                setattr(content.stored, name, value)
    Product.objects.bulk_update(old, _COLUMNS, batch_size=100)
    _clear([content.stored.pk for content in contents if content.stored and content.rows])
    new = [content for content in contents if content.stored is None]
    for product, content in zip(_add(new), new, strict=True):
        content.stored = product
    _rows_write((one.stored.pk, one.fills, one.packaging) for one in contents if one.stored and one.rows)
    written = _products([content.stored.pk for content in contents if content.stored])
    return {
        "products": [[one.pk, product_version(one)] for one in written if one.pk not in before],
        "changed": [[one.pk, product_version(one), before[one.pk]] for one in written if one.pk in before],
    }


def _before(product: Product) -> dict[str, Any]:
    return {
        "columns": {name: as_text(getattr(product, name)) for name in FIGURES},
        "fills": [[fill.recipe_id, fill.amount] for fill in product.fills.all()],
        "packaging": [[row.ingredient_id, row.amount] for row in product.packaging.all()],
    }


def _add(contents: Sequence[ProductContent]) -> list[Product]:
    codes, position = free_codes(Product, [one.name for one in contents], otherwise="product"), next_position(Product)
    return Product.objects.bulk_create(
        (
            Product(code=code, name=one.name, position=position + at, **one.columns)
            for at, (one, code) in enumerate(zip(contents, codes, strict=True))
        ),
        batch_size=100,
    )


def _clear(products: Sequence[int]) -> None:
    for start in range(0, len(products), _BATCH):
        some = products[start : start + _BATCH]
        Fill.objects.filter(product__in=some).delete()
        Packaging.objects.filter(product__in=some).delete()


def _rows_write(rows: Iterable[tuple[int, Sequence[Any], Sequence[Any]]]) -> None:
    fills, packaging = [], []
    for product, in_it, with_it in rows:
        fills += [
            Fill(product_id=product, recipe_id=recipe, amount=amount, position=place)
            for place, (recipe, amount) in enumerate(in_it)
        ]
        packaging += [
            Packaging(product_id=product, ingredient_id=good, amount=amount, position=place)
            for place, (good, amount) in enumerate(with_it)
        ]
    Fill.objects.bulk_create(fills, batch_size=_BATCH)
    Packaging.objects.bulk_create(packaging, batch_size=_BATCH)


def _products(keys: Sequence[int]) -> list[Product]:
    rows = Product.objects.prefetch_related("fills", "packaging", "steps")
    return [one for start in range(0, len(keys), _BATCH) for one in rows.filter(pk__in=keys[start : start + _BATCH])]


def products_undo(made: Made, by: str, at: datetime) -> tuple[int, list[Reason]]:
    """Put changed products back, and delete those that were added, where nobody changed or used them since."""
    left: list[Reason] = []
    back = _put_back({pk: (version, before) for pk, version, before in made.get("changed", ())}, left)
    versions: dict[int, str] = {pk: version for pk, version in made.get("products", ())}  # noqa: C416 - pairs of JSON
    used, gone = protected(Product, versions), []
    for one in _products(list(versions)):
        if one.pk in used:
            left.append(Reason("record_used", {"name": one.name}))
        elif product_version(one) != versions[one.pk]:
            left.append(Reason("record_changed", {"name": one.name}))
        else:
            gone.append(one.pk)
    for start in range(0, len(gone), _BATCH):
        Product.objects.filter(pk__in=gone[start : start + _BATCH]).delete()
    return back + len(gone), left


def _put_back(wanted: Mapping[int, tuple[str, Mapping[str, Any]]], left: list[Reason]) -> int:
    recipes = set(Recipe.objects.values_list("pk", flat=True))
    goods = {one.pk for one in Pantry().ingredients} if wanted else set()
    taxes = set(TaxCategory.objects.values_list("pk", flat=True))
    back: list[tuple[Product, Mapping[str, Any]]] = []
    for one in _products(list(wanted)):
        version, before = wanted[one.pk]
        there = all(recipe in recipes for recipe, _ in before["fills"])
        there = there and all(good in goods for good, _ in before["packaging"]) and before["columns"]["tax_id"] in taxes
        if product_version(one) != version:
            left.append(Reason("record_changed", {"name": one.name}))
        elif not there:
            left.append(Reason("recipe_lacks", {"name": one.name}))
        else:
            back.append((one, before))
    for one, before in back:
        for name, value in before["columns"].items():
            setattr(one, name, Decimal(value) if name == "list_price" and value is not None else value)
    Product.objects.bulk_update([one for one, _ in back], _COLUMNS, batch_size=100)
    _clear([one.pk for one, _ in back])
    _rows_write((one.pk, before["fills"], before["packaging"]) for one, before in back)
    return len(back)


def products_export() -> list[dict[str, Cell]]:
    """Return all products: what goes into one unit and with it in a row each, its figures in the first."""
    comma, pantry = decimal_comma(kitchen().locale), Pantry()
    recipes = {one.pk: label_of(label, one) for label, one in labelled(Recipe.objects.all()).items()}
    products = list(Product.objects.select_related("tax").prefetch_related("fills", "packaging"))
    records: list[dict[str, Cell]] = []
    for label, one in labelled(products).items():
        rows = _rows(one, recipes, pantry) or [{}]
        rows[0] |= {
            "category": one_line(one.category),
            "servings": one.servings,
            "sale_multiple": one.sale_multiple,
            "list_price": number_cell(one.list_price, comma=comma),
            "tax": str(one.tax),
            "description": one_text(one.description),
        }
        records += [{"product": label_of(label, one), **row} for row in rows]
    return records


def _rows(one: Product, recipes: Mapping[int, str], pantry: Pantry) -> list[dict[str, Cell]]:
    comma = decimal_comma(kitchen().locale)
    rows: list[dict[str, Cell]] = []
    named = set(map(folded, recipes.values()))
    for fill in one.fills.all():
        name = recipes[fill.recipe_id]
        name += RECIPE if folded(name) in pantry.labels else ""
        rows.append({"goes_in": name, "amount": measure_cell(fill.amount, comma=comma)})
    for packed in one.packaging.all():
        name = pantry.label_of[packed.ingredient_id, None]
        name += PACKAGING if folded(name) in named else ""
        rows.append({"goes_in": name, "amount": measure_cell(packed.amount, comma=comma)})
    return rows


def _lines(lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return named_below(lines, "product")


KIND: Final = Kind(
    columns=COLUMNS,
    lines=_lines,
    plan=products_plan,
    write=products_write,
    undo=products_undo,
    export=products_export,
)
