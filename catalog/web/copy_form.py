"""The name of a copy."""

from django import forms

from catalog.web.measure_fields import WordsField


class CopyForm(forms.Form):
    """A new name."""

    name = WordsField(
        what="the name",
        most=500,
        label="Name of the copy",
        error_messages={"required": "Enter a name for the copy, such as Walnut square, large."},
    )
