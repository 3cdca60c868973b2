"""The form that withdraws a quote."""

from collections.abc import Sequence

from django import forms
from django.utils.translation import gettext_lazy as _


class WithdrawForm(forms.Form):
    """The reason of a withdrawal, which the customer reads in the mail; ``asked`` are sentences to check."""

    asked: Sequence[tuple[str, str]] = ()

    reason = forms.CharField(
        label=_("Reason, written in the e-mail"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
