"""The owner's forms of reminders: when they go out, a kind's text, what a customer has to return."""

from collections.abc import Sequence
from datetime import time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from catalog.web import display
from catalog.web.fields import WholeField
from orders.reminders.kinds import KINDS, MOST_DAYS
from orders.reminders.moments import HOURS
from orders.reminders.presenters import problem_sentence
from orders.reminders.selectors import Plan
from orders.reminders.texts import problem_of
from orders.reminders.words import kind_words, usual_subject, usual_text, when_words


class RemindersForm(forms.Form):
    """Whether reminders go out, at which hour, and each kind's days."""

    on = forms.BooleanField(
        label=_("Send reminders to customers"),
        required=False,
        help_text=_("Only what becomes due from now on is sent, never what is due already."),
    )

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial = {**self.initial, "on": plan.on, "hour": plan.hour}
        self.fields["hour"] = forms.TypedChoiceField(
            label=_("Time of day"),
            choices=[(hour, display.clock(time(hour))) for hour in HOURS],
            coerce=int,
            error_messages={"required": _("Choose a time of day."), "invalid_choice": _("Choose a time of day.")},
        )
        for code, rule in plan.rules.items():
            self.fields[f"{code}_on"] = forms.BooleanField(label=kind_words(code), required=False)
            self.fields[f"{code}_days"] = WholeField(
                label=_("Days"), what=_("the days"), least=1 if KINDS[code].late else 0, most=MOST_DAYS
            )
            self.initial = {**self.initial, f"{code}_on": rule.on, f"{code}_days": rule.days}

    def rows(self) -> list[tuple[str, Any, Any, str]]:
        """Return each kind with its two fields and what the days are counted from."""
        return [(code, self[f"{code}_on"], self[f"{code}_days"], when_words(code)) for code in KINDS]

    def rules(self) -> dict[str, tuple[bool, int]]:
        """Return what was entered for each kind."""
        found = self.cleaned_data
        return {code: (found[f"{code}_on"], found[f"{code}_days"]) for code in KINDS}


class TextForm(forms.Form):
    """A kind's subject and text; ``asked`` are sentences that somebody has to read first, each with its mark."""

    asked: Sequence[tuple[str, str]] = ()

    subject = forms.CharField(
        label=_("Subject"), max_length=150, error_messages={"required": _("Enter the subject of the e-mail.")}
    )
    text = forms.CharField(
        label=_("Text"),
        max_length=3000,
        widget=forms.Textarea(attrs={"rows": 9}),
        error_messages={"required": _("Enter the text of the e-mail.")},
    )

    def __init__(self, *args: Any, kind: str, subject: str, text: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.initial = {"subject": subject or usual_subject(kind), "text": text or usual_text(kind)}

    def clean_subject(self) -> str:
        """Refuse a field that is not in the list, and a brace without its partner."""
        return self._checked("subject")

    def clean_text(self) -> str:
        """Refuse a field that is not in the list, and a brace without its partner."""
        return self._checked("text")

    def _checked(self, name: str) -> str:
        text = str(self.cleaned_data[name]).replace("\r\n", "\n")
        if (problem := problem_of(text, KINDS[self.kind].fields)) is not None:
            raise ValidationError(problem_sentence(problem, self.kind), code=problem.code)
        return text

    def own(self) -> dict[str, str]:
        """Return what was entered, empty where it is the usual."""
        usual = {"subject": usual_subject(self.kind), "text": usual_text(self.kind)}
        return {
            name: "" if self.cleaned_data[name] == words else self.cleaned_data[name] for name, words in usual.items()
        }


class ThingsForm(forms.Form):
    """What a customer has of the kitchen, beside the molds that the catalog knows."""

    asked: Sequence[tuple[str, str]] = ()

    things = forms.CharField(
        label=_("Other things"),
        max_length=300,
        required=False,
        help_text=_("Such as: 2 cake stands, 1 tablecloth. The customer reads it as you write it."),
    )
    back = forms.BooleanField(label=_("All of it is back"), required=False)
