"""The pages of how a product cools, and how a batch of a recipe does."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from catalog.book.selectors import book_current
from catalog.cooling.answered_steps import steps_beside
from catalog.cooling.batch_reports import batch_report
from catalog.cooling.caution_presenters import cautions_shown
from catalog.cooling.forms import AmountForm
from catalog.cooling.never_hot_claims import beside_claim, claims_beside
from catalog.cooling.open_recipes import recipes_open_in
from catalog.cooling.presenters import batch_page, cooling_page, stated_heat
from catalog.cooling.reports import cooling_report
from catalog.kitchen.selectors import kitchen
from catalog.products.quantity_form import QuantityForm
from catalog.products.selectors import products_whole, usual_units
from catalog.recipes.models import Recipe
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.roles import has_role


@allow(OWNER, KITCHEN)
@require_safe
def product_cooling(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how a product cools, whether its food-safety rule is met, and how long it may be out of the cold."""
    row = get_object_or_404(products_whole(), pk=pk)
    form = QuantityForm(request.GET if "units" in request.GET else None, product=row)
    units = form.cleaned_data["units"] if form.is_valid() else usual_units(row)
    context: dict[str, Any] = {"product": row, "profile": kitchen(), "edits": has_role(request, OWNER)}
    context |= {"form": form, "units": units}
    context |= {"cautions": cautions_shown(), "change": reverse("product-edit", args=[pk])}
    try:
        report, book = cooling_report(row, units), book_current()
        open_, claims = recipes_open_in(row.code, book), claims_beside(row.code, book)
        beside = steps_beside(claims)
        asked = [claim for claim, one in zip(claims, beside, strict=True) if one.open]
        codes = {claim.code for claim in asked if claim.kind == "recipe"}
        context["page"] = cooling_page(report, unsettled=bool(open_ or asked), beside=codes)
        context["stated"] = stated_heat(book.product(row.code))
        context |= {"open": open_ if context["edits"] else (), "beside": beside}
    except CannotPrice as error:
        context["stop"] = sentence(error)
    return render(request, "catalog/cooling/cooling.html", context, status=422 if form.errors else 200)


@allow(OWNER, KITCHEN)
@require_safe
def recipe_cooling(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how an amount of a recipe cools in its vessels, and what would keep the food-safety rule."""
    row = get_object_or_404(Recipe, pk=pk)
    form = AmountForm(request.GET)
    context: dict[str, Any] = {
        "recipe": row,
        "form": form,
        "edits": has_role(request, OWNER),
        "cautions": cautions_shown(),
    }
    context["change"] = reverse("recipe-edit", args=[pk])
    try:
        if form.is_valid():
            book = book_current()
            claim = beside_claim(book.recipe(row.code), book)
            beside = steps_beside(() if claim is None else (claim,))
            report = batch_report(row.code, form.grams(book.kitchen.cup))
            context["page"] = batch_page(report, unsettled=any(one.open for one in beside))
            context["stated"] = stated_heat(book.recipe(row.code))
            context["beside"] = beside
    except CannotPrice as error:
        context["stop"] = sentence(error)
    return render(request, "catalog/cooling/batch.html", context, status=422 if form.errors else 200)
