"""The form that withdraws a quote."""

from django import forms


class WithdrawForm(forms.Form):
    """The reason of a withdrawal; the customer reads it in the mail."""

    reason = forms.CharField(
        label="What the mail says, if anything",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
