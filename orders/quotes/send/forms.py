"""The owner's reason where a batch breaks the cooling rule only together with promised orders."""

from collections.abc import Sequence

from django import forms
from django.utils.translation import gettext_lazy as _

from orders.quotes.cooling.shared import SharedBatch
from orders.records.cooling_errors import MeasuresNothing, SaysNothing
from orders.records.presenters import sentence
from orders.records.real_words import says_measuring, says_something


class TogetherForm(forms.Form):
    """Why it is made as one batch; empty while that is open. What counts already is filled in."""

    together = forms.CharField(
        label=_("Why it is made as one batch with other orders, and how it is measured"),
        max_length=300,
        required=False,
        help_text=_("Left empty, it is asked when you record the approval, and production does not start without it."),
    )

    @classmethod
    def about(cls, data: object, shared: Sequence[SharedBatch]) -> "TogetherForm":
        """Return the form for some batches; ``data`` is what was sent, or None."""
        given = next((one.given.reason for one in shared if one.given is not None), "")
        return cls(data, initial={"together": given})  # type: ignore[arg-type]  # a QueryDict or None

    def clean_together(self) -> str:
        """Refuse what says nothing."""
        entered = str(self.cleaned_data["together"]).strip()
        if entered and not says_something(entered):
            raise forms.ValidationError(sentence(SaysNothing(field="together", entered=entered)))
        if entered and not says_measuring(entered):
            raise forms.ValidationError(sentence(MeasuresNothing(field="together", entered=entered)))
        return entered
