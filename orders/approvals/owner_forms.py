"""The owner's forms about an answer: an approval by phone or on paper, a reply."""

from collections.abc import Sequence
from typing import Any, Final, cast

from django import forms
from django.utils.translation import gettext_lazy as _

#: How an approval is given that is not given on the private page.
_WAYS: Final = {
    "phone": _("by phone"),
    "person": _("in person"),
    "mail": _("by e-mail"),
    "message": _("by text message"),
    "paper": _("signed on paper"),
}


class RecordApprovalForm(forms.Form):
    """An approval by phone or on paper; with the ``times`` of a quote that offers several it asks which was chosen."""

    window = forms.ChoiceField(label=_("Time chosen"), error_messages={"required": _("Choose the time they want.")})
    name = forms.CharField(
        label=_("Approved by"), max_length=120, error_messages={"required": _("Enter who approved it.")}
    )
    how = forms.ChoiceField(
        label=_("How"),
        choices=[("", _("Choose")), *_WAYS.items()],
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Choose how it was approved.")),
    )
    their_words = forms.CharField(
        label=_("What they said beside yes"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("In their words. It is answered like every message of a customer."),
    )

    def __init__(self, *args: Any, times: Sequence[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if times:
            choices = [(str(number), words) for number, words in enumerate(times)]
            cast(forms.ChoiceField, self.fields["window"]).choices = [("", _("Choose")), *choices]
        else:
            del self.fields["window"]

    def facts(self) -> dict[str, Any]:
        """Return what was entered, as the service takes it."""
        facts = dict(self.cleaned_data)
        window, how = facts.pop("window", None), facts.pop("how")
        facts["reason"] = str(_WAYS[how])
        return facts | {"chosen": None if window is None else int(window)}


class ReplyForm(forms.Form):
    """An answer by mail; ``asked`` are its sentences that somebody has to check first, each with its mark."""

    asked: Sequence[tuple[str, str]] = ()

    text = forms.CharField(
        label=_("Your reply, sent by e-mail"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Enter your reply.")},
    )
    nothing_named = forms.BooleanField(
        label=_("The messages I answer say nothing about allergies or diets"), required=False
    )
