"""Products with fill, packaging and steps: rows to Book values, and back."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, Final

from catalog.book.row_writing import create, remove_stale, upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal, decimal_or_none, exact, exact_or_none, measure
from catalog.products.models import Fill, Packaging, Product, ProductStep
from catalog.recipes.book import STEP_COLUMNS, step_columns, step_of
from costing.contract import Book
from costing.contract import book as values

#: Columns about cooling; their keys in the Book have the same names.
COOLING: Final = ("stands_on", "covered", "carried", "cooling_rule")
_COLUMNS: Final = ("pk", "code", "name", "category", "servings", "tax__code", "sale_multiple", "spare", "load")
_TAKING: Final = ("takes", "takes_c", "takes_as", "frees_mold")
#: Columns that a plan reads; their keys in the Book have the same names.
_PLANNED: Final = ("load_places", "mold_leaves", "mold_back_days", "usual_pieces")
_MORE: Final = ("list_price", "description", "mold__name", "fill_height_cm", "keeps_hours", "holding")


def _read(book: Book, cache: RecordCache) -> Book:
    """Add the products; four queries."""
    fills = Rows(Fill, "product_id", "recipe__code", "amount")
    packaging = Rows(Packaging, "product_id", "ingredient__code", "amount")
    steps = Rows(ProductStep, "product_id", *STEP_COLUMNS, *_TAKING)
    rows = Rows(Product, *_COLUMNS, *_MORE, *_PLANNED, *COOLING, "active")
    return replace(book, products=cache.records("products", rows, (fills, packaging, steps), _product))


def products_now(book: Book) -> Book:
    """Return the Book with the products as they are stored, also inside a transaction; four queries."""
    return _read(book, RecordCache())


def _product(row: tuple[Any, ...], fills: list[Any], packaging: list[Any], steps: list[Any]) -> values.Product:
    _, code, name, category, servings, tax, multiple, spare, load, *more = row
    list_price, description, mold, height, keeps, holding, places, leaves, back, usual, *cooling, active = more
    return values.Product(
        code=code,
        name=name,
        category=category,
        servings=servings,
        tax=tax,
        sale_multiple=multiple,
        spare=exact(spare),
        load=load,
        fill=tuple(values.Fill(recipe, measure(amount)) for recipe, amount in fills),
        packaging=tuple(values.Packaging(what, measure(amount)) for what, amount in packaging),
        steps=tuple(map(_step, steps)),
        load_places=tuple(sorted(places.items())),
        mold_free_after=next((i for i, step in enumerate(steps, 1) if step[-1]), None) if mold else None,
        mold_leaves=leaves,
        mold_back_days=back,
        usual_pieces=exact_or_none(usual),
        list_price=exact_or_none(list_price),
        description=description,
        mold=mold,
        fill_height_cm=exact_or_none(height),
        keeps_hours=exact_or_none(keeps),
        holding=holding,
        active=active,
        **dict(zip(COOLING, cooling, strict=True)),
    )


def _step(row: Iterable[Any]) -> values.Step:
    *shared, takes, takes_c, takes_as, _ = row
    return step_of(shared, takes=tuple(takes), takes_c=exact_or_none(takes_c), takes_as=takes_as)


def _taking_columns(step: values.Step) -> dict[str, Any]:
    return {"takes": list(step.takes), "takes_c": decimal_or_none(step.takes_c), "takes_as": step.takes_as}


def _write(book: Book, keys: Keys) -> None:
    """Write the products without fill, packaging and steps."""
    keys["products"] = upsert(_row(product, i, keys) for i, product in enumerate(book.products))


def _row(product: values.Product, position: int, keys: Keys) -> Product:
    return Product(
        code=product.code,
        name=product.name,
        description=product.description,
        category=product.category,
        servings=product.servings,
        sale_multiple=product.sale_multiple,
        spare=decimal(product.spare),
        load=product.load,
        mold_id=None if product.mold is None else keys["molds"][product.mold],
        fill_height_cm=decimal_or_none(product.fill_height_cm),
        keeps_hours=decimal_or_none(product.keeps_hours),
        holding=product.holding,
        list_price=decimal_or_none(product.list_price),
        tax_id=keys["taxes"][product.tax],
        active=product.active,
        position=position,
        load_places=dict(product.load_places),
        mold_leaves=product.mold_leaves,
        mold_back_days=product.mold_back_days,
        usual_pieces=decimal_or_none(product.usual_pieces),
        **{name: getattr(product, name) for name in COOLING},
    )


def _clear(keys: Keys) -> None:
    for model in (Fill, Packaging, ProductStep):
        model.objects.filter(product_id__in=keys["products"].values()).delete()
    remove_stale(Product, keys["products"])


def _write_details(book: Book, keys: Keys) -> None:
    """Write the fill, packaging and steps of each product."""
    items = [(keys["products"][product.code], product) for product in book.products]
    create(
        Fill,
        (
            Fill(product_id=pk, recipe_id=keys["recipes"][fill.recipe], amount=fill.amount.text, position=i)
            for pk, product in items
            for i, fill in enumerate(product.fill)
        ),
    )
    create(
        Packaging,
        (
            Packaging(product_id=pk, ingredient_id=keys["ingredients"][p.ingredient], amount=p.amount.text, position=i)
            for pk, product in items
            for i, p in enumerate(product.packaging)
        ),
    )
    create(
        ProductStep,
        (
            ProductStep(
                product_id=pk,
                **step_columns(step, i, keys),
                **_taking_columns(step),
                frees_mold=product.mold_free_after == i + 1,
            )
            for pk, product in items
            for i, step in enumerate(product.steps)
        ),
    )


SECTION: Final = Section(read=_read, write=_write, clear=_clear, write_details=_write_details)
