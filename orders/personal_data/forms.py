"""Erasing a person is confirmed."""

from django import forms
from django.utils.translation import gettext_lazy as _


class EraseForm(forms.Form):
    """The confirmation: nothing brings the data back."""

    sure = forms.BooleanField(
        label=_("Erase this data permanently. It cannot be restored."),
        error_messages={"required": _("Check the box to erase the data permanently.")},
    )
