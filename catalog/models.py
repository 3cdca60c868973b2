"""All models of the app, for Django to find; other code imports each from its own package."""

from catalog.first_steps.models import SkippedStep
from catalog.kitchen.models import ClosedDay, DatedHours, HandOverHours, Kitchen, KitchenLogo, OpenHours, Vehicle
from catalog.molds.models import Mold
from catalog.outbox.models import Outbox
from catalog.pantry.models import Ingredient, Pack, Part, Supplier
from catalog.pictures.models import Picture, PictureFile
from catalog.price_lists.models import PriceList
from catalog.price_rules.models import PriceRule
from catalog.products.models import Fill, Packaging, Product, ProductPicture, ProductStep
from catalog.rates.models import MonthlyCost, Role, Station, StationOut
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.spreadsheets.models import Spreadsheet
from catalog.taxes.models import TaxCategory, TaxRate
from catalog.throttle.models import TryCount
from catalog.upkeep.models import Backup, Heartbeat
from catalog.vessels.models import Vessel

__all__ = [
    "Backup",
    "ClosedDay",
    "DatedHours",
    "Fill",
    "HandOverHours",
    "Heartbeat",
    "Ingredient",
    "Kitchen",
    "KitchenLogo",
    "Mold",
    "MonthlyCost",
    "OpenHours",
    "Outbox",
    "Pack",
    "Packaging",
    "Part",
    "Picture",
    "PictureFile",
    "PriceList",
    "PriceRule",
    "Product",
    "ProductPicture",
    "ProductStep",
    "Recipe",
    "RecipeLine",
    "RecipeStep",
    "Role",
    "SkippedStep",
    "Spreadsheet",
    "Station",
    "StationOut",
    "Supplier",
    "TaxCategory",
    "TaxRate",
    "TryCount",
    "Vehicle",
    "Vessel",
]
