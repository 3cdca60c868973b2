"""Products to write: the editor, copy, set aside, delete."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.products import services
from catalog.products.choices import product_choices
from catalog.products.draft_figures import ProductFigures, product_figures
from catalog.products.forms import ProductForms
from catalog.products.models import Product
from catalog.products.selectors import products_whole
from catalog.recipes.pantry import pantry_load
from catalog.records.errors import CatalogError, InUse
from catalog.records.presenters import sentence, users_words
from catalog.records.uses import users_of
from catalog.web.access import OWNER, allow
from catalog.web.copy_form import CopyForm
from catalog.web.row_forms import row_news, rows_rearranged


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_new(request: HttpRequest) -> HttpResponse:
    """Write a new product."""
    return _edited(request, None)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a product."""
    return _edited(request, get_object_or_404(products_whole(), pk=pk))


@allow(OWNER)
@require_POST
def product_figures_beside(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Give the figures of what is written so far; nothing is kept."""
    product = get_object_or_404(products_whole(), pk=pk) if pk is not None else None
    sheet, figures = _sheet(product, request.POST)
    return render(request, "catalog/products/figures.html", {"sheet": sheet, "figures": figures})


def _edited(request: HttpRequest, product: Product | None) -> HttpResponse:
    do = request.POST.get("do", "")
    data = rows_rearranged(request.POST, do) if request.method == "POST" else None
    sheet, figures = _sheet(product, data)
    wrong = False
    if data is not None and do == "save":
        saved = _saved(request, sheet) if sheet.is_valid() else None
        if saved:
            messages.success(request, f"{saved.name} is saved.")
            return redirect("product", pk=saved.pk)
        wrong = True
    elif data is not None:
        sheet.hush()
        sheet.focus_added(do)
    forms = [sheet.form, sheet.fills, sheet.packaging, sheet.steps] if wrong else []
    context = {"sheet": sheet, "figures": figures, "product": product, "wrong": wrong, "forms": forms}
    return render(request, "catalog/products/edit.html", context | row_news(do, data), status=422 if wrong else 200)


def _sheet(product: Product | None, data: Any) -> tuple[ProductForms, ProductFigures]:
    pantry = pantry_load(day=timezone.localdate())
    sheet = ProductForms(choices=product_choices(pantry=pantry), data=data, product=product)
    fills, packaging = sheet.written()
    mold, height = sheet.mold()
    return sheet, product_figures(pantry=pantry, fills=fills, packaging=packaging, mold=mold, height=height)


def _saved(request: HttpRequest, sheet: ProductForms) -> Product | None:
    try:
        return services.product_save(
            product_id=sheet.product.pk if sheet.product else None,
            keep=sheet.keep(),
            seen=sheet.form.cleaned_data["seen"],
            by=request.user.get_username(),
            at=timezone.now(),
        )
    except CatalogError as error:
        sheet.form.add_error(None, sentence(error))
        return None


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a product for a new size."""
    product = get_object_or_404(Product, pk=pk)
    form = CopyForm(request.POST or None, initial={"name": f"{product.name}, another size"[:500]})
    if request.method == "POST" and form.is_valid():
        name, by = form.cleaned_data["name"], request.user.get_username()
        copy = services.product_copy(product_id=pk, name=name, by=by, at=timezone.now())
        messages.success(request, "Copied. Give the new size its mould, fills, servings and its own baking time.")
        return redirect("product-edit", pk=copy.pk)
    context = {"form": form, "product": product}
    return render(request, "catalog/products/copy.html", context, status=422 if form.errors else 200)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a product, or say what still names it and offer to set it aside."""
    product = get_object_or_404(Product, pk=pk)
    refusal = ""
    if request.method == "POST":
        try:
            services.product_delete(product_id=pk, by=request.user.get_username(), at=timezone.now())
        except InUse as error:
            refusal = sentence(error)
        else:
            messages.success(request, f"{product.name} is deleted.")
            return redirect("products")
    context = {"product": product, "refusal": refusal, "users": users_words(users_of(product))}
    return render(request, "catalog/products/delete.html", context, status=409 if refusal else 200)


@allow(OWNER)
@require_POST
def product_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a product as sold or no longer sold."""
    product = get_object_or_404(Product, pk=pk)
    active = request.POST.get("active") == "yes"
    services.product_set_active(product_id=pk, active=active, by=request.user.get_username(), at=timezone.now())
    messages.success(request, f"{product.name} is {'sold again' if active else 'marked as no longer sold'}.")
    return redirect("product", pk=pk)
