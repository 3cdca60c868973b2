"""The form that says what to try; it opens with the figures as they are."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_lazy as _

from catalog.web.display import rounded
from catalog.web.fields import PercentField, WholeField
from orders.quotes.draft.estimate import DraftEstimate
from orders.quotes.draft.forms import sold_in
from orders.quotes.models import Quote
from orders.quotes.what_if.selectors import WhatIf

_MARGIN_HELP = gettext_lazy("The margin over all products as it is now. Enter another to set every price by it.")


class WhatIfForm(forms.Form):
    """Another margin, discount or quantities, to look at before saving them. What is left as it is changes nothing."""

    margin = PercentField(
        what=_("the margin"),
        label=_("Margin on each product, %"),
        required=False,
        most=Decimal("99"),
        example="58",
        help_text=_MARGIN_HELP,
    )
    discount = PercentField(what=_("the discount"), label=_("Discount, %"), required=False, most=100, example="5")

    def __init__(self, data: Mapping[str, Any] | None = None, *, quote: Quote, before: DraftEstimate) -> None:
        super().__init__(data)
        self._margin = _shown_margin(before)
        self._discount = before.table.discount
        self._lines = {f"units-{line.product_id}": line for line in quote.lines.all()}
        self.fields["margin"].initial, self.fields["discount"].initial = self._margin, self._discount
        for name, line in self._lines.items():
            product = str(line.product)
            self.fields[name] = WholeField(
                what=gettext("the quantity of %(product)s") % {"product": product},
                label=product,
                required=False,
                least=1,
                most=1_000_000,
                example="96",
                initial=line.units,
            )

    @property
    def quantities(self) -> Iterator[BoundField]:
        """The fields of quantities, in the order of the table."""
        return (self[name] for name in self._lines)

    def clean(self) -> dict[str, Any]:
        """Check that each quantity is one the product is sold in."""
        values = super().clean() or self.cleaned_data
        for name, line in self._lines.items():
            units = values.get(name)
            if units and units != line.units and units % line.product.sale_multiple:
                self.add_error(name, sold_in(line.product, units))
        return values

    def change(self) -> WhatIf:
        """Return what differs from the figures as they are; call it on a form without errors."""
        values = self.cleaned_data
        tried = ((line, values.get(name)) for name, line in self._lines.items())
        return WhatIf(
            margin=_other(values.get("margin"), self._margin),
            discount=_other(values.get("discount"), self._discount),
            units={line.product.code: units for line, units in tried if units and units != line.units},
        )

    def changed(self) -> dict[str, str]:
        """Return what was entered and differs, by field, to be sent once more when it is to be saved."""
        change = self.change()
        names = {name: line.product.code in change.units for name, line in self._lines.items()}
        names |= {"margin": change.margin is not None, "discount": change.discount is not None}
        return {name: str(self.data[name]) for name, differs in names.items() if differs}


def _other(entered: Decimal | None, now: Decimal | None) -> Decimal | None:
    return None if entered is None or entered == now else entered


def _shown_margin(before: DraftEstimate) -> Decimal | None:
    """Return the margin over all products, rounded as pages write it: 0.530."""
    margin = before.estimate.totals.goods_margin if before.estimate else None
    return None if margin is None else rounded(margin, 3)
