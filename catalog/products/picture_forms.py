"""The form of a product's photograph."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from catalog.pictures.forms import PictureField, PictureForm
from catalog.products.models import ProductPicture


class ProductPictureForm(PictureForm):
    """A product's photograph, and the drawing until there is one."""

    file = PictureField(use="photo", label=gettext_lazy("Picture"))
    drawing = forms.ChoiceField(
        label=gettext_lazy("Drawing until there is a picture"),
        choices=[("", gettext_lazy("By its name and category")), *ProductPicture.Drawing.choices],
        required=False,
    )
    field_order = ("file", "alt", "drawing")

    def __init__(self, data: Any = None, files: Any = None, *, use: ProductPicture) -> None:
        initial = {"drawing": use.drawing}
        super().__init__(data, files, use=use, suggestion=use.product.name[:300], initial=initial)
