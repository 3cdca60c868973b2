"""The page of a product's photograph; the product editor shows the same form beside the product's."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from catalog.pictures.edit_views import Deed, picture_page
from catalog.products.looks import look_of
from catalog.products.models import Product
from catalog.products.picture_forms import ProductPictureForm
from catalog.products.picture_services import (
    picture_of,
    picture_version,
    product_picture_put_back,
    product_picture_remove,
    product_picture_save,
)
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data


def picture_edit(pk: int, data: QueryDict | None = None, files: Any = None) -> Edit[Product, ProductPictureForm]:
    """Return the form of a product's photograph, opened or submitted."""
    return Edit(
        data=data,
        load=lambda: get_object_or_404(Product.objects.select_related("mold"), pk=pk),
        forms=lambda product, data: ProductPictureForm(data, data and files, use=picture_of(product)),
        version_of=picture_version,
        page=reverse("product-picture", args=[pk]),
    )


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def product_picture(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a product's photograph; take another one, remove it, put the one before back."""
    edit = picture_edit(pk, submitted_data(request), request.FILES or None)

    def context() -> dict[str, Any]:
        product = get_object_or_404(Product.objects.select_related("mold"), pk=pk)
        return {"product": product, "look": look_of(product)}

    return picture_page(
        request,
        "catalog/products/picture_page.html",
        edit,
        deeds=_deeds(request, edit, pk),
        opened=lambda: picture_edit(pk),
        context=context,
    )


def _deeds(request: HttpRequest, edit: Edit[Product, ProductPictureForm], pk: int) -> dict[str, Deed]:
    by, at, page = request.user.get_username(), timezone.now(), edit.page

    def save(version: str) -> Product:
        new, drawing = edit.forms.new_picture(), edit.forms.cleaned_data["drawing"]
        return product_picture_save(product_id=pk, new=new, drawing=drawing, version=version, by=by, at=at)

    return {
        "save": Deed(save, gettext("The picture is saved."), reverse("product", args=[pk])),
        "remove": Deed(
            lambda version: product_picture_remove(product_id=pk, version=version),
            gettext("The picture is removed. You can put it back."),
            page,
        ),
        "put-back": Deed(
            lambda version: product_picture_put_back(product_id=pk, version=version),
            gettext("The earlier picture is back."),
            page,
        ),
    }
