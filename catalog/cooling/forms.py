"""The amount of a recipe whose cooling is asked for."""

from fractions import Fraction

from django import forms
from django.utils.translation import gettext_lazy as _

from catalog.web.measure_fields import MeasureField
from costing.measures.measure import parse_measure
from costing.measures.units import CupKind


class AmountForm(forms.Form):
    """How much is made; empty is the usual batch."""

    amount = MeasureField(
        what=_("how much is made"),
        mass=True,
        required=False,
        label=_("Amount"),
        help_text=_("Such as 5 kg or 12 lb. Empty: a full batch."),
    )

    def grams(self, cup: CupKind) -> Fraction | None:
        """Return the amount [g]; None when nothing is written, or it cannot be read."""
        text = self.cleaned_data.get("amount") if self.is_valid() else ""
        return parse_measure(text).grams(cup) if text else None
