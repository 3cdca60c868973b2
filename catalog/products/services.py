"""Products: save, copy, archive, delete."""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient
from catalog.products.book import products_now
from catalog.products.models import Fill, Packaging, Product, ProductPicture
from catalog.recipes.models import Recipe
from catalog.recipes.step_services import StepData, product_steps_replace, step_versions, still_there
from catalog.records.codes import free_code
from catalog.records.errors import CannotPrice, ChangedMeanwhile, RuleForHot
from catalog.records.reasons import Reason
from catalog.records.rows import copy_rows, new_row, next_position, remove
from catalog.records.versions import existing_unchanged, version_mark
from catalog.taxes.models import TaxCategory
from costing.contract import Book
from costing.contract.steps import HEATS_C, KINDS

#: What packages above this one refuse of a product as it would be saved: a Book with it, and its code.
SAVE_CHECKS: Final[list[Callable[[Book, str], None]]] = []


@dataclass(frozen=True, slots=True)
class ProductFields:
    """The product's own fields as its form checked them."""

    name: str
    category: str
    tax_id: int
    description: str = ""
    servings: int = 1
    sale_multiple: int = 1
    spare: Decimal = Decimal(0)
    load: int | None = None
    mold_id: int | None = None
    fill_height_cm: Decimal | None = None
    keeps_hours: Decimal | None = None
    holding: str = ""
    list_price: Decimal | None = None
    active: bool = True
    stands_on: str = Product.StandsOn.OPEN.value
    covered: bool = False
    carried: str = Product.Carried.CARTON.value
    cooling_rule: str = Product.CoolingRule.BY_STEP.value
    #: Kind of a station -> places one load takes there.
    load_places: dict[str, int] = field(default_factory=dict)
    mold_leaves: bool = False
    mold_back_days: int | None = None


@dataclass(frozen=True, slots=True)
class ProductData:
    """A whole product: its fields, (recipe, mass) of its fills, (ingredient, amount) of its packaging, its steps."""

    fields: ProductFields
    fills: tuple[tuple[int, str], ...] = ()
    packaging: tuple[tuple[int, str], ...] = ()
    steps: tuple[StepData, ...] = ()


def product_version(product: Product) -> str:
    """Return the version of a product as stored, to detect a change by somebody else."""
    fields = [str(getattr(product, name)) for name in ProductFields.__dataclass_fields__]
    fills = [(fill.recipe_id, fill.amount) for fill in product.fills.all()]
    packaging = [(row.ingredient_id, row.amount) for row in product.packaging.all()]
    return version_mark([fields, fills, packaging, step_versions(product.steps.all())])


@transaction.atomic(durable=True)
def product_save(*, product_id: int | None, data: ProductData, version: str, by: str, at: datetime) -> Product:
    """Create a product (``product_id`` None) or replace one.

    Without a load of its own, the number of molds owned is the load.

    Raises
    ------
    Overtaken
        When its version is no longer ``version``.
    ChangedMeanwhile
        When it or something chosen for it was deleted.
    RuleForHot
        When the rule for ingredients at room temperature is chosen, and a step leaves it hot.
    LeavesColder
        When a step is stated to leave colder than what goes in hot can be.
    """
    fields = data.fields
    if product_id is None:
        product = new_row(Product, fields.name, otherwise="product")
    else:
        product = existing_unchanged(Product, product_id, version, product_version)
    _check_chosen(data)
    _check_rule(data)
    for name, value in asdict(fields).items():
        setattr(product, name, value)
    if product.load is None and product.mold_id is not None:
        owned = Mold.objects.filter(pk=product.mold_id).values_list("owned", flat=True).first()
        product.load = owned or None
    product.save()
    _rows_replace(product, data)
    _check_saved(product, data)
    catalog_changed()
    return product


def _check_rule(data: ProductData) -> None:
    if data.fields.cooling_rule != Product.CoolingRule.AMBIENT:
        return
    for step in data.steps:
        if step.leaves_c is not None and step.leaves_c >= HEATS_C:
            name = step.name or KINDS.get(step.kind, step.kind)
            raise RuleForHot(place="cooling_rule", step=name, leaves_c=float(step.leaves_c))


def _check_saved(product: Product, data: ProductData) -> None:
    """Run what is to be checked of its cooling, where a step states a temperature and the catalog can be read."""
    if all(step.leaves_c is None for step in data.steps):
        return
    with suppress(CannotPrice):
        book = products_now(book_current())
        for check in SAVE_CHECKS:
            check(book, product.code)


def _check_chosen(data: ProductData) -> None:
    still_there(Recipe, (recipe for recipe, _ in data.fills))
    still_there(Ingredient, (ingredient for ingredient, _ in data.packaging))
    still_there(Mold, [data.fields.mold_id])
    still_there(TaxCategory, [data.fields.tax_id])


def _rows_replace(product: Product, data: ProductData) -> None:
    product.fills.all().delete()
    product.packaging.all().delete()
    Fill.objects.bulk_create(
        Fill(product=product, recipe_id=recipe, amount=amount, position=place)
        for place, (recipe, amount) in enumerate(data.fills)
    )
    Packaging.objects.bulk_create(
        Packaging(product=product, ingredient_id=ingredient, amount=amount, position=place)
        for place, (ingredient, amount) in enumerate(data.packaging)
    )
    product_steps_replace(product=product, steps=data.steps)


@transaction.atomic(durable=True)
def product_copy(*, product_id: int, name: str, by: str, at: datetime) -> Product:
    """Copy a product with fills, packaging and steps, for a new size; its list price is left empty.

    Raises
    ------
    ChangedMeanwhile
        When the product was deleted.
    """
    source = Product.objects.filter(pk=product_id).first()
    if source is None:
        raise ChangedMeanwhile(what=Reason("the_kind", {"kind": "product"}))
    picture = ProductPicture.objects.filter(product=source).first()
    fills, packaging, steps = list(source.fills.all()), list(source.packaging.all()), list(source.steps.all())
    copy = source
    copy.code, copy.position = free_code(Product, name, otherwise="product"), next_position(Product)
    copy.pk, copy.name, copy.list_price, copy.usual_pieces, copy.active = None, name, None, None, True
    copy._state.adding = True
    copy.save()
    for rows in (fills, packaging, steps):
        copy_rows(rows, product=copy)
    if picture is not None:
        ProductPicture.objects.create(
            product=copy, picture_id=picture.picture_id, alt=picture.alt, drawing=picture.drawing
        )
    catalog_changed()
    return copy


@transaction.atomic(durable=True)
def product_delete(*, product_id: int, by: str, at: datetime) -> None:
    """Delete a product that nothing else needs, together with its price rules.

    Raises
    ------
    InUse
        When inquiries, quotes or orders still name it.
    """
    product = Product.objects.filter(pk=product_id).first()
    if product is None:
        return
    remove(product, what=product.name, otherwise="documents")
    catalog_changed()


@transaction.atomic(durable=True)
def product_set_active(*, product_id: int, active: bool, by: str, at: datetime) -> None:
    """Mark a product as sold or no longer sold."""
    if Product.objects.filter(pk=product_id).exclude(active=active).update(active=active):
        catalog_changed()
