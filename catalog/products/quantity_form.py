"""The form of the quantity at which a product is shown."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.products.models import Product
from catalog.products.selectors import usual_units
from catalog.web.fields import WholeField


class QuantityForm(forms.Form):
    """A number of units, in sale multiples."""

    units = WholeField(what=_("the quantity"), label=_("Quantity"), least=1, most=100_000, example="48")

    def __init__(self, data: Any = None, *, product: Product) -> None:
        self.multiple = product.sale_multiple
        super().__init__(data, initial={"units": usual_units(product)})

    def clean_units(self) -> int:
        units = int(self.cleaned_data["units"])
        if units % self.multiple:
            sentence = gettext("It is sold in multiples of %(multiple)s: enter %(near)s.")
            raise forms.ValidationError(sentence % {"multiple": self.multiple, "near": self._near(units)})
        return units

    def _near(self, units: int) -> str:
        below = units // self.multiple * self.multiple
        if not below:
            return str(self.multiple)
        return gettext("%(below)s or %(above)s") % {"below": below, "above": below + self.multiple}
