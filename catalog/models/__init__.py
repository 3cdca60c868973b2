"""What the kitchen buys, makes, owns and charges."""

from catalog.models.buying import Ingredient, Pack, Part, Supplier
from catalog.models.charging import PriceRule, Role, Station, TaxCategory, TaxRate
from catalog.models.kitchen import ClosedDay, Kitchen, MonthlyCost, OpenHours
from catalog.models.making import (
    WAITING,
    Fill,
    Mould,
    Packaging,
    Product,
    ProductStep,
    Recipe,
    RecipeLine,
    RecipeStep,
    Step,
)
from catalog.models.outbox import Outbox, PriceList

__all__ = [
    "WAITING",
    "ClosedDay",
    "Fill",
    "Ingredient",
    "Kitchen",
    "MonthlyCost",
    "Mould",
    "OpenHours",
    "Outbox",
    "Pack",
    "Packaging",
    "Part",
    "PriceList",
    "PriceRule",
    "Product",
    "ProductStep",
    "Recipe",
    "RecipeLine",
    "RecipeStep",
    "Role",
    "Station",
    "Step",
    "Supplier",
    "TaxCategory",
    "TaxRate",
]
