"""Forms of tax categories and their dated rates."""

from datetime import date
from typing import Any

from django import forms

from catalog.taxes.models import TaxCategory
from catalog.web.fields import DayField, PercentField
from catalog.web.measure_fields import name_field

NO_TAX = "A category that is zero rated, exempt or outside the scope of tax has the rate 0."


class TaxCategoryForm(forms.Form):
    """Goods or services taxed alike."""

    name = name_field("Name", "Name the category, such as Prepared food.")
    untdid = forms.ChoiceField(
        label="On invoices",
        choices=TaxCategory.Untdid.choices,
        help_text="The letter is what electronic invoices call it (list UNTDID 5305). Ask your accountant when unsure.",
    )
    exempt_reason = forms.CharField(
        label="Why no tax",
        max_length=200,
        required=False,
        help_text="Stands on invoices. Needed when the category is exempt or outside the scope of tax.",
    )

    def __init__(self, *args: Any, taxed: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.taxed = taxed

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        kind = data.get("untdid")
        if kind in (TaxCategory.Untdid.EXEMPT, TaxCategory.Untdid.OUTSIDE) and not data.get("exempt_reason"):
            self.add_error("exempt_reason", "Enter why no tax is due: the invoice has to say it.")
        if kind and kind != TaxCategory.Untdid.STANDARD and self.taxed:
            self.add_error("untdid", f"{NO_TAX} This one has rates above 0: make a category of its own.")
        return data


class TaxRateForm(forms.Form):
    """A rate from a date on."""

    rate = PercentField(what="the rate", most=100, label="Rate", unit="percent", example="8.25")
    starts = DayField(what="the first day", label="In force from")

    def __init__(
        self, *args: Any, begun: frozenset[date] = frozenset(), untdid: str = TaxCategory.Untdid.STANDARD, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.begun, self.untdid = begun, untdid

    def clean_starts(self) -> date:
        """Check that the day has no rate yet."""
        starts: date = self.cleaned_data["starts"]
        if starts in self.begun:
            raise forms.ValidationError("There is a rate from this day on already. Choose another day.")
        return starts

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("rate") and self.untdid != TaxCategory.Untdid.STANDARD:
            self.add_error("rate", NO_TAX)
        return data
