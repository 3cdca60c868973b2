"""The owner's forms about an answer: an approval by phone or on paper, a reply."""

from django import forms


class RecordApprovalForm(forms.Form):
    """An approval by phone or on paper."""

    name = forms.CharField(label="Who said yes", max_length=120, error_messages={"required": "Enter who said yes."})
    reason = forms.CharField(
        label="How it was given",
        max_length=300,
        help_text="Such as: by phone on Tuesday at ten, or signed copy in the folder.",
        error_messages={"required": "Write down how the yes was given: by phone to whom, or on which paper."},
    )


class ReplyForm(forms.Form):
    """An answer by mail."""

    text = forms.CharField(
        label="Your reply, sent by e-mail",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Write your reply."},
    )
