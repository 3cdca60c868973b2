"""The page of common ingredients: ticked, priced and added at once."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods

from catalog.kitchen.selectors import kitchen
from catalog.pantry.common_forms import CommonForms, CommonGroup
from catalog.pantry.common_services import common_add
from catalog.pantry.models import Ingredient, Supplier
from catalog.pantry.presenters import allergen_words, common_group_word, common_known_words
from catalog.web.access import OWNER, allow


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def common_ingredients_page(request: HttpRequest) -> HttpResponse:
    """List what a dessert kitchen commonly buys; what is ticked is added, with the prices entered."""
    home = kitchen()
    present = frozenset(name.casefold() for name in Ingredient.objects.values_list("name", flat=True))
    common = CommonForms(request.POST if request.method == "POST" else None, kitchen=home, present=present)
    nothing = False
    if request.method == "POST" and common.is_valid():
        ticked = common.ticked()
        if ticked:
            supplier, today = common.supplier.cleaned_data["supplier"], timezone.localdate()
            added = common_add(ticked=ticked, country=home.country, supplier=supplier, starts=today)
            priced = sum(one.price is not None for one in ticked)
            messages.success(request, _added_words(len(added), priced))
            return redirect("ingredient-labels")
        nothing = True
    context: dict[str, Any] = {
        "groups": [_group(group) for group in common.groups],
        "supplier": common.supplier,
        "wrong": [row for row in common.rows if row.is_bound and row.errors],
        "nothing": nothing,
        "suppliers": Supplier.objects.values_list("name", flat=True),
        "kitchen_profile": home,
    }
    return render(request, "catalog/pantry/common.html", context, status=422 if request.method == "POST" else 200)


def _group(group: CommonGroup) -> dict[str, Any]:
    rows = [
        (row, allergen_words(row.common.contains), common_known_words(row.common), row.common.food)
        for row in group.rows
    ]
    return {"name": common_group_word(group.code), "code": group.code, "rows": rows, "opened": group.opened}


def _added_words(count: int, priced: int) -> str:
    words = ngettext("%(count)d ingredient is added", "%(count)d ingredients are added", count) % {"count": count}
    with_price = gettext("%(count)d with a price") % {"count": priced}
    return gettext("%(added)s, %(priced)s. Read their labels next: what else they contain is not checked yet.") % {
        "added": words,
        "priced": with_price,
    }
