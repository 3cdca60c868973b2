"""The customer's forms: approve, ask for a change, decline."""

from django import forms


class ApproveForm(forms.Form):
    """The name of the person who approves, and the hash of the content shown."""

    name = forms.CharField(
        label="Your name, as you would sign",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false"}),
        error_messages={"required": "Write your name, as you would sign."},
    )
    content_sha256 = forms.CharField(widget=forms.HiddenInput, max_length=64, required=False)


class ChangeForm(forms.Form):
    """A change the customer asks for."""

    text = forms.CharField(
        label="What should be different?",
        help_text="Another number of guests, another dessert, another time: write it as you would say it.",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": "Write what should be different."},
    )


class DeclineForm(forms.Form):
    """The customer's reason for declining, optional."""

    reason = forms.CharField(
        label="Why not?",
        help_text="It helps the kitchen to know. You can leave it empty.",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
