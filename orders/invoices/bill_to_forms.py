"""The form of who is billed for an order."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _


class BillToForm(forms.Form):
    """Name, address, country and tax number, as they are printed on the invoice."""

    name = forms.CharField(
        label=_("Name or company"), max_length=120, error_messages={"required": _("Enter who is billed.")}
    )
    address = forms.CharField(
        label=_("Address"),
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off"}),
    )
    country = forms.CharField(
        label=_("Country code"), max_length=2, required=False, help_text=_("Two letters, such as US.")
    )
    tax_number = forms.CharField(label=_("Tax number"), max_length=40, required=False)

    def clean_country(self) -> str:
        """Write the country as ISO 3166-1 does: two capitals."""
        code: str = self.cleaned_data["country"].strip().upper()
        if code and not (len(code) == 2 and code.isascii() and code.isalpha()):
            raise ValidationError(gettext("Enter the country as two letters, such as US or SE."), code="not_a_country")
        return code
