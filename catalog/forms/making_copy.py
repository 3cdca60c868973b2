"""The name a copy is kept under."""

from django import forms


class CopyForm(forms.Form):
    """A new name."""

    name = forms.CharField(
        label="Name of the copy",
        max_length=500,
        error_messages={"required": "Enter a name for the copy, such as Walnut square, large."},
    )
