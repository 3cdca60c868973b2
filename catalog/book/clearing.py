"""What an imported Book lacks leaves the catalog; what quotes or orders still need is marked inactive instead."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import models
from django.db.models import F

from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.products.models import Fill, Packaging, Product, ProductStep
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.records.uses import protected
from catalog.taxes.models import TaxCategory

Keys = Mapping[str, int]
#: Kept rows stand after those of the Book.
AFTER = 1_000_000


def clear_children(ingredients: Keys, recipes: Keys, products: Keys) -> None:
    """Delete the rows without a code of their own, of everything the Book describes."""
    RecipeLine.objects.filter(recipe_id__in=recipes.values()).delete()
    RecipeStep.objects.filter(recipe_id__in=recipes.values()).delete()
    Fill.objects.filter(product_id__in=products.values()).delete()
    Packaging.objects.filter(product_id__in=products.values()).delete()
    ProductStep.objects.filter(product_id__in=products.values()).delete()
    Pack.objects.filter(ingredient_id__in=ingredients.values()).delete()


def clear_goods(ingredients: Keys, recipes: Keys, products: Keys) -> None:
    """Remove products, recipes and ingredients that the Book lacks, from the top down."""
    _remove(Product, products.values())
    stale = set(Recipe.objects.exclude(pk__in=recipes.values()).values_list("pk", flat=True))
    needed = _recipes_needed(stale)
    # Their lines go first: a recipe may stand in a line of another that goes as well.
    RecipeLine.objects.filter(recipe_id__in=stale - needed).delete()
    _remove(Recipe, recipes.values())
    _remove(Ingredient, ingredients.values())


def _recipes_needed(stale: set[int]) -> set[int]:
    """Follow fills and lines from what stays to the recipes that have to stay with it."""
    needed = stale & set(Fill.objects.values_list("recipe_id", flat=True))
    lines = list(
        RecipeLine.objects.filter(component__isnull=False, recipe_id__in=stale).values_list("recipe_id", "component_id")
    )
    while True:
        more = {component for recipe, component in lines if recipe in needed} & stale - needed
        if not more:
            return needed
        needed |= more


def _remove(model: type[models.Model], described: Iterable[int]) -> None:
    stale = set(model._default_manager.exclude(pk__in=list(described)).values_list("pk", flat=True))
    kept = protected(model, stale)
    model._default_manager.filter(pk__in=stale - kept).delete()
    rows: models.QuerySet[Any] = model._default_manager.filter(pk__in=kept)
    rows.update(active=False)
    rows.filter(position__lt=AFTER).update(position=F("position") + AFTER)


def clear_charges(roles: Keys, stations: Keys, taxes: Keys, suppliers: Keys, molds: Keys) -> None:
    """Remove roles, stations, tax categories, suppliers and molds that nothing needs any more."""
    described: tuple[tuple[type[models.Model], Keys], ...] = (
        (Role, roles),
        (Station, stations),
        (TaxCategory, taxes),
        (Supplier, suppliers),
        (Mold, molds),
    )
    for model, keys in described:
        stale = set(model._default_manager.exclude(pk__in=list(keys.values())).values_list("pk", flat=True))
        kept = protected(model, stale)
        model._default_manager.filter(pk__in=stale - kept).delete()
        if any(field.name == "position" for field in model._meta.concrete_fields):
            rows: models.QuerySet[Any] = model._default_manager.filter(pk__in=kept)
            rows.filter(position__lt=AFTER).update(position=F("position") + AFTER)
