"""The owner's forms about an answer: an approval by phone or on paper, a reply."""

from collections.abc import Sequence
from typing import Any, cast

from django import forms
from django.utils.translation import gettext_lazy as _


class RecordApprovalForm(forms.Form):
    """An approval by phone or on paper; with the ``times`` of a quote that offers several it asks which was chosen."""

    window = forms.ChoiceField(label=_("Time chosen"), error_messages={"required": _("Choose the time they want.")})
    name = forms.CharField(
        label=_("Approved by"), max_length=120, error_messages={"required": _("Enter who approved it.")}
    )
    reason = forms.CharField(
        label=_("How"),
        max_length=300,
        help_text=_("Such as: by phone on Tuesday at ten, or signed copy in the folder."),
        error_messages={"required": _("Enter how it was approved: by phone to whom, or on which paper.")},
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
        window = facts.pop("window", None)
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
