"""The form of the quantity at which a product is shown."""

from typing import Any

from django import forms

from catalog.products.models import Product
from catalog.products.selectors import usual_units
from catalog.web.fields import WholeField


class QuantityForm(forms.Form):
    """A number of units, in sale multiples."""

    units = WholeField(what="how many units", label="For how many units", least=1, most=100_000, example="48")

    def __init__(self, data: Any = None, *, product: Product) -> None:
        self.multiple = product.sale_multiple
        super().__init__(data, initial={"units": usual_units(product)})

    def clean_units(self) -> int:
        units = int(self.cleaned_data["units"])
        if units % self.multiple:
            raise forms.ValidationError(f"It is sold in multiples of {self.multiple}: enter {self._near(units)}.")
        return units

    def _near(self, units: int) -> str:
        below = units // self.multiple * self.multiple
        return f"{below} or {below + self.multiple}" if below else str(self.multiple)
