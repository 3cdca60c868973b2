"""The form of the kitchen's logo."""

from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from catalog.kitchen.models import KitchenLogo
from catalog.pictures.forms import PictureField, PictureForm


class LogoForm(PictureForm):
    """The kitchen's logo, and whether its name can be read in it."""

    file = PictureField(
        use="logo",
        label=gettext_lazy("Logo"),
        help_text=gettext_lazy(
            "PNG with a clear ground, JPEG or WebP, at most 12 MB. It is shown up to 56 pixels high."
        ),
    )
    has_name = forms.BooleanField(
        label=gettext_lazy("The kitchen’s name is in the logo"),
        required=False,
        help_text=gettext_lazy("Then the name is not written beside it."),
    )
    field_order = ("file", "alt", "has_name")

    def __init__(self, data: Any = None, files: Any = None, *, use: KitchenLogo) -> None:
        super().__init__(data, files, use=use, suggestion=use.kitchen.name, initial={"has_name": use.has_name})
        self.fields["alt"].label = gettext("Description of the logo")

    def example(self) -> str:
        """Return a description of a logo."""
        return self.use.kitchen.name if isinstance(self.use, KitchenLogo) else ""
