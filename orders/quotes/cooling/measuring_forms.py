"""The form of what is measured instead of a cooling rule, wherever the owner records it."""

from decimal import Decimal
from typing import Any, Final

from django import forms
from django.contrib.auth.models import User
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.records.people import person_name
from catalog.web import display
from catalog.web.access import ROLES
from catalog.web.fields import NumberField
from orders.quotes.cooling.chosen import Chosen
from orders.quotes.cooling.measuring_content import TOO_WARM, WHAT, Limits, Measuring, hours_of, too_warm_of
from orders.quotes.models import CoolingOverride
from orders.records.errors import OrderError
from orders.records.presenters import sentence

#: What stands in a field before anybody chooses counts as no answer.
_ANSWERS = ("what", "who", "who_else")
#: Somebody who does not sign in.
_OTHER: Final = "other"


class MeasuringForm(forms.Form):
    """What is measured of ``name``, when by its ``limits``, what follows, and by whom; ``optional`` while it is open.

    Nothing is chosen of what is measured and by whom: somebody does.
    """

    what = forms.ChoiceField(label=_("What is measured"), widget=forms.RadioSelect, required=False)
    too_warm = forms.ChoiceField(
        label=_("If it is too warm then"),
        required=False,
        help_text=_("An ice bath or shallower vessels help only before a limit has passed: read it earlier then."),
    )
    who = forms.ChoiceField(label=_("Measured by"), required=False)
    who_else = forms.CharField(label=_("Name"), max_length=80, required=False)

    def __init__(
        self, data: Any = None, *, name: str, limits: Limits, prefix: str, optional: bool, initial: Any = None
    ) -> None:
        super().__init__(data, prefix=prefix, initial=initial, empty_permitted=optional, use_required_attribute=False)
        self.name, self.limits = name, limits
        self._choices("what", [(code, gettext(words)) for code, words in WHAT.items()])
        self._choices("too_warm", [(code, words[:1].upper() + words[1:]) for code, words in too_warm_of(limits)])
        people = {person_name(user): person_name(user) for user in _people()}
        self._choices("who", [("", gettext("Choose")), *people.items(), (_OTHER, gettext("Somebody else"))])
        for number, hour in enumerate(hours_of(limits)):
            self.fields[f"hour_{number}"] = NumberField(
                what=gettext("the hours"),
                label=self._hour_label(number),
                initial=hour,
                required=False,
            )

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]  # a ChoiceField

    def _hour_label(self, number: int) -> str:
        if not self.limits:
            return gettext("Hours until it is read")
        return gettext("Hours until %(limit)s is read") % {"limit": display.temperature(self.limits[number][0])}

    @property
    def hours(self) -> list[forms.BoundField]:
        """The fields of the hours."""
        return [self[name] for name in self.fields if name.startswith("hour_")]

    def has_changed(self) -> bool:
        """Whether somebody answered something, or something else than is recorded."""
        asked = _ANSWERS if not self.initial else tuple(self.fields)
        return any(name in self.changed_data and self.add_prefix(name) in self.data for name in asked)

    def clean(self) -> dict[str, Any]:
        """Refuse what lacks a part, or comes too late."""
        for refusal in () if self.errors else list(self._measuring().problems(self.limits, self.name)):
            self.refuse(refusal)
        return self.cleaned_data

    def refuse(self, refusal: OrderError, text: str = "") -> None:
        """Show a refusal at its field; at the first one where it is about all of it."""
        place = (refusal.place or "").removeprefix(f"{self.prefix}-")
        self.add_error(place if place in self.fields else "what", text or sentence(refusal))

    def measuring(self) -> Measuring | None:
        """Return what was entered; None without errors where nothing was, or with errors."""
        return self._measuring() if self.is_valid() and self.cleaned_data else None

    def _measuring(self) -> Measuring:
        data = self.cleaned_data
        hours: list[Decimal | None] = [data.get(each.name) for each in self.hours]
        who = data["who_else"] if data["who"] == _OTHER else data["who"]
        return Measuring(data["what"], tuple(hours), who, too_warm=data["too_warm"] or "discard")


def _people() -> list[User]:
    """Return the people who sign in with a role, by name; one query."""
    carry = Q(groups__name__in=ROLES) | Q(is_superuser=True)
    return sorted(User.objects.filter(carry, is_active=True).distinct(), key=person_name)


def initial_of(recorded: CoolingOverride | None, chosen: Chosen) -> dict[str, Any]:
    """Return what a record fills in, where its choices are known and can still be made: in older ones they are not."""
    found = None if recorded is None else chosen.get((recorded.measured, recorded.measured_by))
    if recorded is None or found is None or found["what"] not in WHAT or found["too_warm"] not in TOO_WARM:
        return {}
    hours = {f"hour_{number}": Decimal(hour) for number, hour in enumerate(found["hours"])}
    own = recorded.measured_by not in map(person_name, _people())
    who = {"who": _OTHER, "who_else": recorded.measured_by} if own else {"who": recorded.measured_by}
    return {"what": found["what"], "too_warm": found["too_warm"], **hours, **who}
