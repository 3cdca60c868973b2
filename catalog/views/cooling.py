"""How a product cools: a page to read."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from catalog.access import KITCHEN, OWNER, allow
from catalog.errors import CannotPrice
from catalog.selectors.cooling_page import cooling_page
from catalog.selectors.kitchen import kitchen
from catalog.selectors.products import products_whole
from catalog.views.recipes_money import money_shown
from costing.chilling import CAUTIONS


@allow(OWNER, KITCHEN)
@require_safe
def product_cooling(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how a product cools, whether its food-safety rule is kept, and how long it may be out of the cold."""
    row = get_object_or_404(products_whole(), pk=pk)
    context: dict[str, Any] = {"product": row, "profile": kitchen(), "edits": money_shown(request)}
    try:
        context["page"] = cooling_page(row)
    except CannotPrice as error:
        context["stop"] = str(error)
    return render(request, "catalog/products/cooling.html", context | {"cautions": CAUTIONS})
