"""The form of what is measured instead of a cooling rule: one for each item that breaks it."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from orders.quotes.cooling.selectors import Broken, RuledTable
from orders.quotes.cooling.services import OverrideData
from orders.records.cooling_errors import MeasuresNothing, NamesNobody, SaysNothing
from orders.records.presenters import sentence
from orders.records.real_words import names_somebody, says_measuring, says_something


class OverrideForm(forms.Form):
    """What is measured instead for one item, and by whom."""

    measured = forms.CharField(
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_(
            "What, when, and what is done if it is too warm, such as: probe at 2 h and 6 h; ice bath if above 70 °F"
            " at 2 h."
        ),
    )
    measured_by = forms.CharField(max_length=80, help_text=_("A person who is there at these hours."))

    def __init__(self, *args: Any, one: Broken, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.one = one
        measured, measured_by = self.fields["measured"], self.fields["measured_by"]
        name = {"name": one.name}
        measured.label = gettext("What is measured instead: %(name)s") % name
        measured_by.label = gettext("Measured by: %(name)s") % name
        measured.error_messages["required"] = gettext("Enter what is measured instead for %(name)s.") % name
        measured_by.error_messages["required"] = gettext("Enter who measures %(name)s.") % name

    def clean_measured(self) -> str:
        """Refuse what says nothing."""
        entered = str(self.cleaned_data["measured"])
        if not says_something(entered):
            raise forms.ValidationError(sentence(SaysNothing(field="measured", entered=entered)))
        if not says_measuring(entered):
            raise forms.ValidationError(sentence(MeasuresNothing(field="measured", entered=entered)))
        return entered

    def clean_measured_by(self) -> str:
        """Refuse what names nobody."""
        entered = str(self.cleaned_data["measured_by"])
        if not names_somebody(entered):
            raise forms.ValidationError(sentence(NamesNobody(field="measured_by", entered=entered)))
        return entered

    def override(self) -> OverrideData:
        """Return what was entered; call it on a form without errors."""
        return OverrideData(self.one.item, self.cleaned_data["measured"], self.cleaned_data["measured_by"])


class OverrideForms:
    """The forms of all items that break the rule, showing what is recorded."""

    def __init__(self, found: RuledTable, data: QueryDict | None) -> None:
        self.forms = {str(one.item): self._form(found, one, data) for one in found.broken}

    @staticmethod
    def _form(found: RuledTable, one: Broken, data: QueryDict | None) -> OverrideForm:
        recorded = found.override(one)
        shown = {"measured": recorded.measured, "measured_by": recorded.measured_by} if recorded else {}
        return OverrideForm(data, one=one, prefix=str(one.item), initial=shown)

    def __iter__(self) -> Iterator[OverrideForm]:
        return iter(self.forms.values())

    def is_valid(self) -> bool:
        """Whether all are filled in; each is asked, so that every error is shown at once."""
        checked = [form.is_valid() for form in self]
        return all(checked)

    def overrides(self) -> list[OverrideData]:
        """Return what was entered; call it on forms without errors."""
        return [form.override() for form in self]
