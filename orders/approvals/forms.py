"""The customer's forms: approve, ask for a change, decline."""

from django import forms
from django.utils.translation import gettext_lazy as _


class ApproveForm(forms.Form):
    """The name of the person who approves, and the hash of the content shown."""

    name = forms.CharField(
        label=_("Your full name, as you would sign"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false"}),
        error_messages={"required": _("Enter your full name, as you would sign.")},
    )
    content_sha256 = forms.CharField(widget=forms.HiddenInput, max_length=64, required=False)


class ChangeForm(forms.Form):
    """A change the customer asks for."""

    text = forms.CharField(
        label=_("What would you like to change?"),
        help_text=_("For example the number of guests, a dessert or the time."),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": _("Write what you would like to change.")},
    )


class DeclineForm(forms.Form):
    """The customer's reason for declining, optional."""

    reason = forms.CharField(
        label=_("Your reason"),
        help_text=_("It helps us to know. You can leave it empty."),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
