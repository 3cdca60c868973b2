"""What the customer writes: a name, a wish, a reason."""

from django import forms


class ApproveForm(forms.Form):
    """The name of who approves, and which content was shown."""

    name = forms.CharField(
        label="Your name, as you would sign",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false"}),
        error_messages={"required": "Write your name, as you would sign."},
    )
    content_sha256 = forms.CharField(widget=forms.HiddenInput, max_length=64, required=False)


class ChangeForm(forms.Form):
    """What should be different."""

    text = forms.CharField(
        label="What should be different?",
        help_text="Another number of guests, another dessert, another time: write it as you would say it.",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": "Write what should be different."},
    )


class DeclineForm(forms.Form):
    """Why not, if the customer wants to say."""

    reason = forms.CharField(
        label="Why not?",
        help_text="It helps the kitchen to know. You can leave it empty.",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
