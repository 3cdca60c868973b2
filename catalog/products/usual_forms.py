"""The rows of what is usually served: a product, and pieces of it for each guest."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.products.models import Product
from catalog.web.fields import NumberField
from costing.contract.plan_bounds import USUAL_PIECES

#: So many products can be usual.
MOST: Final = 12


class UsualForm(forms.Form):
    """A product that is usual; an empty row is ignored."""

    product = forms.ChoiceField(
        label=_("Product"),
        required=False,
        error_messages={"invalid_choice": _("This product is no longer for sale. Choose another.")},
    )
    pieces = NumberField(
        what=_("the pieces per guest"),
        label=_("Pieces per guest"),
        above=0,
        most=USUAL_PIECES,
        example="0.5",
        required=False,
    )

    def __init__(self, *args: Any, names: Mapping[int, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = [(str(key), name) for key, name in names.items()]
        self.fields["product"].choices = [("", gettext("Choose a product")), *listed]  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("DELETE"):
            self.errors.clear()
        elif data.get("product") and data.get("pieces") is None and "pieces" not in self.errors:
            self.add_error("pieces", gettext("Enter the pieces per guest, such as 0.5 for one for every two."))
        elif data.get("pieces") is not None and not data.get("product") and "product" not in self.errors:
            self.add_error("product", gettext("Choose the product of this row, or check “Remove”."))
        return data


class BaseUsualFormSet(forms.BaseFormSet[UsualForm]):
    """What is usual, each product once."""

    row_word = marked("Product")

    def clean(self) -> None:
        seen: set[str] = set()
        for form in self.complete_rows():
            key = form.cleaned_data["product"]
            if key in seen:
                form.add_error("product", gettext("This product is entered twice. Remove one of the rows."))
            seen.add(key)

    def complete_rows(self) -> list[UsualForm]:
        """Return the rows with a product that are not removed."""
        return [
            form
            for form in self.forms
            if form.is_valid() and form.cleaned_data.get("product") and not form.cleaned_data.get("DELETE")
        ]

    def pieces(self) -> dict[int, Decimal]:
        """Return the checked pieces by key of a product."""
        rows = (form.cleaned_data for form in self.complete_rows())
        return {int(row["product"]): row["pieces"] for row in rows}


UsualFormSet = forms.formset_factory(
    UsualForm, formset=BaseUsualFormSet, extra=1, can_delete=True, max_num=MOST, validate_max=True, absolute_max=40
)


def offered(usual: Mapping[int, Decimal]) -> dict[int, str]:
    """Return the names of the products that can be chosen by their key: what is sold, and what is usual now."""
    rows = Product.objects.order_by("name", "pk").values_list("pk", "name", "active")
    return {key: name for key, name, active in rows if active or key in usual}
