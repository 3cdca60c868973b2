"""The name of a copy."""

from django import forms
from django.utils.translation import gettext_lazy

from catalog.web.measure_fields import WordsField


class CopyForm(forms.Form):
    """A new name."""

    name = WordsField(
        what=gettext_lazy("the name"),
        most=500,
        label=gettext_lazy("Name of the copy"),
        error_messages={"required": gettext_lazy("Enter a name for the copy, such as Walnut square, large.")},
    )
