"""Erasing a person is confirmed."""

from django import forms


class EraseForm(forms.Form):
    """The confirmation: nothing brings the data back."""

    sure = forms.BooleanField(
        label="Erase it for good. Nothing brings it back.",
        error_messages={"required": "Tick the box if the data is to be erased for good."},
    )
