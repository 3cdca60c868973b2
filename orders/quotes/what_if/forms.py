"""The form that says what to try."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.web.fields import PercentField, WholeField
from orders.quotes.draft.forms import sold_in
from orders.quotes.models import Quote
from orders.quotes.what_if.selectors import WhatIf


class WhatIfForm(forms.Form):
    """Another margin, discount or quantity, to look at before saving it."""

    margin = PercentField(
        what=_("the margin"),
        label=_("Margin on each product, %"),
        required=False,
        most=Decimal("99"),
        example="58",
        help_text=_("Overrides every price to reach this margin. Leave empty to keep the prices."),
    )
    discount = PercentField(what=_("the discount"), label=_("Discount, %"), required=False, most=100, example="5")
    product = forms.ChoiceField(
        label=_("Product"), required=False, error_messages={"invalid_choice": _("Choose a product of this order.")}
    )
    units = WholeField(
        what=_("the quantity"), label=_("Quantity"), required=False, least=1, most=1_000_000, example="96"
    )

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.products = {line.product.code: line.product for line in quote.lines.all()}
        choices = [(code, str(product)) for code, product in self.products.items()]
        self.fields["product"].choices = [("", _("Choose a product")), *choices]  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        """Ask for both halves of another quantity."""
        values = super().clean() or self.cleaned_data
        if values.get("product") and values.get("units") is None and "units" not in self.errors:
            self.add_error("units", gettext("Enter the quantity."))
        if values.get("units") is not None and not values.get("product") and "product" not in self.errors:
            self.add_error("product", gettext("Choose a product."))
        self._multiple(values)
        if not any(values.get(name) is not None for name in ("margin", "discount", "units")) and not self.errors:
            raise ValidationError(gettext("Enter another margin, discount or quantity to compare."), code="nothing")
        return values

    def _multiple(self, values: dict[str, Any]) -> None:
        product, units = self.products.get(values.get("product") or ""), values.get("units")
        if product is not None and units and units % product.sale_multiple:
            self.add_error("units", sold_in(product, units))

    def change(self) -> WhatIf:
        """Return what to try; call it on a form without errors."""
        values = self.cleaned_data
        return WhatIf(values["margin"], values["discount"], values["product"], values["units"])
