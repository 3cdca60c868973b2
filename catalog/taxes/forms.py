"""Forms of tax categories and their dated rates."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.taxes.models import TaxCategory
from catalog.web.fields import DayField, PercentField
from catalog.web.measure_fields import name_field

NO_TAX = marked("A category that is zero rated, exempt or outside the scope of tax has the rate 0.")


class TaxCategoryForm(forms.Form):
    """Goods or services taxed alike."""

    name = name_field(_("Name"), _("Enter a name, such as Prepared food."))
    untdid = forms.ChoiceField(
        label=_("Tax category code"),
        choices=TaxCategory.Untdid.choices,
        help_text=_("The letter that electronic invoices use (list UNTDID 5305). Ask your accountant if unsure."),
    )
    exempt_reason = forms.CharField(
        label=_("Reason for no tax"),
        max_length=200,
        required=False,
        help_text=_("Printed on invoices. Required if the category is exempt or outside the scope of tax."),
    )

    def __init__(self, *args: Any, taxed: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.taxed = taxed

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        kind = data.get("untdid")
        if kind in (TaxCategory.Untdid.EXEMPT, TaxCategory.Untdid.OUTSIDE) and not data.get("exempt_reason"):
            self.add_error("exempt_reason", gettext("Enter the reason for no tax: the invoice has to say it."))
        if kind and kind != TaxCategory.Untdid.STANDARD and self.taxed:
            zero = gettext("%(rule)s This one has rates above 0: add a separate category.")
            self.add_error("untdid", zero % {"rule": gettext(NO_TAX)})
        return data


class TaxRateForm(forms.Form):
    """A rate from a date on."""

    rate = PercentField(what=marked("the rate"), most=100, label=_("Rate"), unit=marked("percent"), example="8.25")
    starts = DayField(what=marked("the first day"), label=_("In force from"))

    def __init__(
        self, *args: Any, begun: frozenset[date] = frozenset(), untdid: str = TaxCategory.Untdid.STANDARD, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.begun, self.untdid = begun, untdid

    def clean_starts(self) -> date:
        """Check that the day has no rate yet."""
        starts: date = self.cleaned_data["starts"]
        if starts in self.begun:
            raise forms.ValidationError(gettext("There is already a rate from this day on. Choose another day."))
        return starts

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("rate") and self.untdid != TaxCategory.Untdid.STANDARD:
            self.add_error("rate", gettext(NO_TAX))
        return data
