"""The product editor, and copying, archiving and deleting products."""

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from catalog.pantry.line_ingredient_forms import LineIngredientForm
from catalog.pantry.line_ingredient_views import LinePlace, line_ingredient
from catalog.pictures.edit_views import picture_context
from catalog.products import services
from catalog.products.choices import product_choices
from catalog.products.draft_figures import ProductFigures, product_figures
from catalog.products.forms import ProductForms
from catalog.products.looks import look_of
from catalog.products.models import Product
from catalog.products.picture_views import picture_edit
from catalog.products.selectors import products_whole
from catalog.products.views import claims_warned
from catalog.recipes.cost_basis import CostBasis, cost_basis_load
from catalog.records.presenters import users_words
from catalog.records.uses import users_of
from catalog.web.access import OWNER, allow
from catalog.web.editor import Submission, copy_page, delete_page, editor_page, saved, submission
from catalog.web.edits import Edit

_PACKAGING = LinePlace("packaging", "ingredient", counted=True)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_new(request: HttpRequest) -> HttpResponse:
    """Create a product."""
    return _edited(request)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a product."""
    return _edited(request, pk)


@allow(OWNER)
@require_POST
def product_figures_beside(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Return the figures of what is entered so far; nothing is saved."""
    product = get_object_or_404(products_whole(), pk=pk) if pk is not None else None
    basis = cost_basis_load(day=timezone.localdate())
    editor = _forms(basis, product, request.POST)
    context = {"editor": editor, "figures": _figures(basis, editor)}
    return render(request, "catalog/products/figures.html", context)


def _forms(basis: CostBasis, product: Product | None, data: Any) -> ProductForms:
    return ProductForms(choices=product_choices(basis=basis), data=data, product=product)


def _figures(basis: CostBasis, editor: ProductForms) -> ProductFigures:
    fills, packaging = editor.written()
    mold, height = editor.mold()
    return product_figures(basis=basis, fills=fills, packaging=packaging, mold=mold, height=height)


def _submission(request: HttpRequest) -> tuple[Submission, LineIngredientForm | None]:
    """Read what was sent, with missing packaging added to its row."""
    sent = submission(request)
    data, fresh = line_ingredient(request, sent.data, sent.do, place=_PACKAGING, written=lambda row, _: str(row.pk))
    return Submission(sent.do, data), fresh


def _edited(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    sent, fresh = _submission(request)
    basis = cost_basis_load(day=timezone.localdate())
    edit = Edit(
        data=sent.data,
        load=lambda: get_object_or_404(products_whole(), pk=pk) if pk else None,
        forms=partial(_forms, basis),
        version_of=services.product_version,
        page=request.path,
    )
    row = saved(edit, partial(_save, request)) if sent.saves else None
    if row:
        messages.success(request, gettext("%(name)s is saved.") % {"name": row.name})
        for words in claims_warned(row):
            messages.warning(request, words)
        return redirect("product", pk=row.pk)
    context = {"figures": _figures(basis, edit.forms), "product": edit.record, "fresh": fresh}
    if edit.record is not None:
        context |= {"look": look_of(edit.record), **picture_context(picture_edit(edit.record.pk))}
    return editor_page(request, "catalog/products/edit.html", edit, sent, context)


def _save(request: HttpRequest, editor: ProductForms, version: str) -> Product:
    product = services.product_save(
        product_id=editor.product.pk if editor.product else None,
        data=editor.product_data(),
        version=version,
        by=request.user.get_username(),
        at=timezone.now(),
    )
    if unsafe := import_string(settings.UNSAFE_WORDS)("product", product.code):
        messages.warning(request, unsafe)
    return product


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a product for a new size."""
    product = get_object_or_404(Product, pk=pk)

    def copy(name: str) -> str:
        by, at = request.user.get_username(), timezone.now()
        row = services.product_copy(product_id=pk, name=name, by=by, at=at)
        messages.success(request, gettext("Copied. Enter the new size’s mold, amounts, servings and baking time."))
        return reverse("product-edit", args=[row.pk])

    name = gettext("%(name)s, another size") % {"name": product.name}
    return copy_page(request, "catalog/products/copy.html", name=name, copy=copy, context={"product": product})


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a product, or show what still refers to it and suggest archiving it."""
    product = get_object_or_404(Product, pk=pk)
    delete = partial(services.product_delete, product_id=pk, by=request.user.get_username(), at=timezone.now())
    context = {"product": product, "users": users_words(users_of(product))}
    template = "catalog/products/delete.html"
    return delete_page(request, template, product, delete=delete, listing="products", context=context)


@allow(OWNER)
@require_POST
def product_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a product as sold or no longer sold."""
    product = get_object_or_404(Product, pk=pk)
    active = request.POST.get("active") == "yes"
    services.product_set_active(product_id=pk, active=active, by=request.user.get_username(), at=timezone.now())
    words = gettext("%(name)s is in use again.") if active else gettext("%(name)s is archived.")
    messages.success(request, words % {"name": product.name})
    return redirect("product", pk=pk)
