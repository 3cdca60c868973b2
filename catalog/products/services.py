"""Products: keep, copy, set aside, delete."""

from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import ProtectedError

from catalog.book.revision import catalog_changed
from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient
from catalog.products.models import Fill, Packaging, Product, ProductStep
from catalog.recipes.models import Recipe
from catalog.recipes.services import mark, step_marks
from catalog.recipes.step_services import StepData, product_steps_replace, still_there
from catalog.records.codes import free_code
from catalog.records.errors import ChangedMeanwhile, InUse
from catalog.records.reasons import Reason
from catalog.records.uses import users_of
from catalog.taxes.models import TaxCategory


@dataclass(frozen=True, slots=True)
class ProductData:
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


@dataclass(frozen=True, slots=True)
class ProductWithRows:
    """A whole product: its facts, (recipe, mass) of its fills, (ingredient, amount) of its packaging, its steps."""

    facts: ProductData
    fills: tuple[tuple[int, str], ...] = ()
    packaging: tuple[tuple[int, str], ...] = ()
    steps: tuple[StepData, ...] = ()


def product_version(product: Product) -> str:
    """Return a mark of a product as it stands, to notice that somebody changed it meanwhile."""
    facts = [str(getattr(product, name)) for name in ProductData.__dataclass_fields__]
    fills = [(fill.recipe_id, fill.amount) for fill in product.fills.all()]
    packaging = [(row.ingredient_id, row.amount) for row in product.packaging.all()]
    return mark([facts, fills, packaging, step_marks(product.steps.all())])


@transaction.atomic(durable=True)
def product_save(*, product_id: int | None, keep: ProductWithRows, seen: str, by: str, at: datetime) -> Product:
    """Keep a new product (``product_id`` None) or put this one in place of what stood.

    Without a load of its own, as many are made at once as there are molds.

    Raises
    ------
    ChangedMeanwhile
        When it is no longer what ``seen`` marks, is gone, or something chosen for it is gone.
    """
    product = _opened(product_id, seen, keep.facts.name)
    still_there(Recipe, (recipe for recipe, _ in keep.fills))
    still_there(Ingredient, (ingredient for ingredient, _ in keep.packaging))
    still_there(Mold, [keep.facts.mold_id])
    still_there(TaxCategory, [keep.facts.tax_id])
    for name, value in asdict(keep.facts).items():
        setattr(product, name, value)
    if product.load is None and product.mold_id is not None:
        owned = Mold.objects.filter(pk=product.mold_id).values_list("owned", flat=True).first()
        product.load = owned or None
    product.save()
    product.fills.all().delete()
    product.packaging.all().delete()
    Fill.objects.bulk_create(
        Fill(product=product, recipe_id=recipe, amount=amount, position=place)
        for place, (recipe, amount) in enumerate(keep.fills)
    )
    Packaging.objects.bulk_create(
        Packaging(product=product, ingredient_id=ingredient, amount=amount, position=place)
        for place, (ingredient, amount) in enumerate(keep.packaging)
    )
    product_steps_replace(product=product, steps=keep.steps)
    catalog_changed()
    return product


def _opened(product_id: int | None, seen: str, name: str) -> Product:
    if product_id is None:
        codes = Product.objects.values_list("code", flat=True)
        return Product(code=free_code(name, codes, otherwise="product"), position=Product.objects.count())
    product = Product.objects.filter(pk=product_id).first()
    if product is None or (seen and product_version(product) != seen):
        raise ChangedMeanwhile(what=name)
    return product


@transaction.atomic(durable=True)
def product_copy(*, product_id: int, name: str, by: str, at: datetime) -> Product:
    """Copy a product with fills, packaging and steps, for a new size; its list price is left to be given.

    Raises
    ------
    ChangedMeanwhile
        When the product is gone.
    """
    source = Product.objects.filter(pk=product_id).first()
    if source is None:
        raise ChangedMeanwhile(what=Reason("the_kind", {"kind": "product"}))
    fills, packaging, steps = list(source.fills.all()), list(source.packaging.all()), list(source.steps.all())
    codes = list(Product.objects.values_list("code", flat=True))
    copy = source
    copy.pk, copy.code, copy.name = None, free_code(name, codes, otherwise="product"), name
    copy.list_price, copy.active, copy.position = None, True, len(codes)
    copy._state.adding = True
    copy.save()
    for fill in fills:
        fill.pk, fill.product = None, copy
    for packed in packaging:
        packed.pk, packed.product = None, copy
    for step in steps:
        step.pk, step.product = None, copy
    Fill.objects.bulk_create(fills)
    Packaging.objects.bulk_create(packaging)
    ProductStep.objects.bulk_create(steps)
    catalog_changed()
    return copy


@transaction.atomic(durable=True)
def product_delete(*, product_id: int, by: str, at: datetime) -> None:
    """Delete a product nothing else needs; price rules made for it go with it.

    Raises
    ------
    InUse
        When inquiries, quotes or orders still name it.
    """
    product = Product.objects.filter(pk=product_id).first()
    if product is None:
        return
    users = users_of(product)
    if users:
        raise InUse(what=product.name, users=users)
    try:
        product.delete()
    except ProtectedError as error:
        raise InUse(what=product.name, users=[Reason("documents")]) from error
    catalog_changed()


@transaction.atomic(durable=True)
def product_set_active(*, product_id: int, active: bool, by: str, at: datetime) -> None:
    """Mark a product as sold or no longer sold."""
    if Product.objects.filter(pk=product_id).exclude(active=active).update(active=active):
        catalog_changed()
