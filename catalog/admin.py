"""The catalog's rows in the admin, read-only."""

from django.contrib import admin
from django.contrib.auth import admin as _accounts  # noqa: F401 - registers accounts, which is undone below
from django.contrib.auth.models import Group, User

from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours
from catalog.molds.models import Mold
from catalog.outbox.models import Outbox
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.price_lists.models import PriceList
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory, TaxRate
from catalog.web.admin import ReadOnlyAdmin


class PriceListAdmin(ReadOnlyAdmin):
    """Price lists without the file's bytes."""

    exclude = ("body",)


class UserAdmin(ReadOnlyAdmin):
    """Names, groups and last sign-in, without the password's hash. ``createsuperuser`` or code make accounts."""

    exclude = ("password",)


for _model in (
    ClosedDay,
    Ingredient,
    Kitchen,
    MonthlyCost,
    Mold,
    OpenHours,
    Outbox,
    Pack,
    PriceRule,
    Product,
    Recipe,
    Role,
    Station,
    Supplier,
    TaxCategory,
    TaxRate,
):
    admin.site.register(_model, ReadOnlyAdmin)
admin.site.register(PriceList, PriceListAdmin)
# The accounts' own admin has forms that change them.
admin.site.unregister(User)
admin.site.unregister(Group)
admin.site.register(User, UserAdmin)
admin.site.register(Group, ReadOnlyAdmin)
admin.site.site_header = "Coldset, to look at"
admin.site.site_title = "Coldset"
