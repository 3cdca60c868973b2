"""The page of a product's cooling."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from catalog.cooling.presenters import cooling_page
from catalog.cooling.reports import cooling_report
from catalog.kitchen.selectors import kitchen
from catalog.products.selectors import products_whole
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.roles import has_role
from costing.chilling import CAUTIONS


@allow(OWNER, KITCHEN)
@require_safe
def product_cooling(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how a product cools, whether its food-safety rule is met, and how long it may be out of the cold."""
    row = get_object_or_404(products_whole(), pk=pk)
    context: dict[str, Any] = {"product": row, "profile": kitchen(), "edits": has_role(request, OWNER)}
    try:
        context["page"] = cooling_page(cooling_report(row))
    except CannotPrice as error:
        context["stop"] = sentence(error)
    return render(request, "catalog/cooling/cooling.html", context | {"cautions": CAUTIONS})
