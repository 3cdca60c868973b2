"""The form of one step of work or waiting; a recipe's says what a hot batch stands in."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.recipes.choices import StepChoices
from catalog.recipes.models import RecipeStep, Step
from catalog.recipes.step_services import StepData
from catalog.web.display import duration
from catalog.web.fields import NumberField, WholeField
from catalog.web.measure_fields import (
    MassRateField,
    PickField,
    SpanField,
    TemperatureField,
    WordsField,
    degrees_shown,
    degrees_written,
)
from catalog.web.numbers import written_here
from catalog.web.row_forms import RowSet
from catalog.web.unit_fields import LengthField
from costing.chilling.profiles import HOT_C
from costing.contract.cooling_bounds import BATH_MIN, BATH_TO_C, LEAVES_C, STIR_MIN
from costing.contract.steps import HEATING, WAITING

#: What heats is between these [°C], unless somebody writes the unit; own choice.
LEAST_HEATED_C: Final = Decimal(40)
MOST_HEATED_C: Final = Decimal(300)
#: What a recipe's step says of how its hot batch stands.
STANDING_FIELDS: Final = ("vessel", "vessels", "depth_cm", "covered", "ice_bath", "stir_min", "bath_to_c", "bath_min")


class StepForm(forms.Form):
    """One step. ``each`` is the unit of the second labor figure: a kilogram or a unit."""

    name = WordsField(what=_("the step’s name"), most=120, label=_("Step"), required=False)
    kind = PickField(
        what=_("the kind of step"), label=_("Kind"), choices=[("", _("choose")), *Step.Kind.choices], required=False
    )
    role = PickField(what=_("who does it"), label=_("Labor by"), required=False)
    hands_fixed = NumberField(what=_("the labor minutes"), least=0, most=100_000, required=False, example="15")
    hands_each = NumberField(what=_("the labor minutes"), least=0, most=100_000, required=False, example="2.5")
    station = PickField(what=_("the station"), label=_("Station"), required=False)
    minutes = SpanField(
        label=_("Total time"),
        what=_("the total time"),
        help_text=_("From its start to its end, where that is longer than the labor time."),
    )
    wait_min = SpanField(
        label=_("Wait at least"), what=_("the shortest wait"), help_text=_("After it ended, added to its total time.")
    )
    hold_max = SpanField(
        label=_("Maximum hold"), what=_("the longest hold"), help_text=_("Before the next step or handover.")
    )
    attended = PickField(
        what=_("how long somebody is needed"),
        label=_("Somebody is needed"),
        choices=Step.Attended.choices,
        required=False,
    )
    text = WordsField(
        what=_("the note"),
        most=4000,
        label=_("Notes"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "cols": 40}),
    )

    def __init__(self, *args: Any, choices: StepChoices, fixed: str, each: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        PickField.set_choices(self, "role", [("", gettext("nobody")), *choices.roles])
        PickField.set_choices(self, "station", [("", gettext("no station")), *choices.stations])
        self.fields["hands_fixed"].label = gettext("Labor minutes %(per)s") % {"per": fixed}
        self.fields["hands_each"].label = gettext("Labor minutes %(per)s") % {"per": each}
        self.fields["temperature_c"] = TemperatureField(
            degrees=choices.degrees, label=gettext("Oven or heat, °%(degrees)s") % {"degrees": choices.degrees}
        )
        self.fields["leaves_c"] = _leaves(choices.degrees)
        self.degrees = choices.degrees
        if self.initial.get("kind") in HEATING:
            # What somebody kept by writing its unit is shown with it, so that saving again asks nothing.
            for name in ("temperature_c", "leaves_c"):
                self.initial[name] = self._with_unit(self.initial.get(name), name)
        order = ("name", "kind", "station", "temperature_c", "role", "hands_fixed", "hands_each", "minutes", "leaves_c")
        self.order_fields([*order, "wait_min"])

    def _with_unit(self, celsius: Any, name: str) -> Any:
        if not isinstance(celsius, Decimal):
            return celsius
        asked = name == "leaves_c" and _leaves_oven_cool(self.initial, celsius)
        if LEAST_HEATED_C <= celsius <= MOST_HEATED_C and not asked:
            return celsius
        return written_here().written(f"{degrees_written(celsius, self.degrees)} °{self.degrees}")

    def clean_kind(self) -> str:
        return self.cleaned_data["kind"] or Step.Kind.WORK

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        hands = (found.get("hands_fixed") or 0) + (found.get("hands_each") or 0)
        if hands and not found.get("role") and "role" not in self.errors:
            self.add_error("role", gettext("Choose who does this labor, so that it can be paid; or clear the minutes."))
        least, longest = found.get("wait_min"), found.get("hold_max")
        if least is not None and longest is not None and longest < least:
            self.add_error(
                "hold_max", gettext("The longest hold is shorter than the shortest wait. Make it as long or longer.")
            )
        if least and least == found.get("minutes") and found.get("kind") in WAITING:
            # Seen: the time of one stay in the cold, entered in both fields and counted twice.
            sentence = gettext(
                "The shortest wait is added to the total time: %(time)s, and then %(time)s more. Clear this one, or"
                " enter only what comes after the total time."
            )
            self.add_error("wait_min", sentence % {"time": duration(least)})
        if found.get("leaves_c") is not None and found.get("kind") in WAITING:
            self.add_error("leaves_c", gettext(_LEFT_EARLIER))
        if found.get("kind") in HEATING:
            for name in ("temperature_c", "leaves_c"):
                self._ask_unit(name, found.get(name))
            self._ask_measured(found)
        return found

    def _ask_measured(self, found: dict[str, Any]) -> None:
        """Ask whether it was measured that something leaves the oven no hotter; who writes the unit means it."""
        celsius, field = found.get("leaves_c"), self.fields["leaves_c"]
        if celsius is None or "leaves_c" in self.errors or not _leaves_oven_cool(found, celsius):
            return
        if isinstance(field, TemperatureField) and (shown := field.without_unit(self["leaves_c"].data)):
            text = gettext(
                "After %(time)s in the oven the middle is usually hotter than %(hot)s °%(degrees)s. Was it measured? If"
                " it is right, enter %(shown)s °%(degrees)s."
            )
            hot = degrees_shown(Decimal(str(round(HOT_C, 6))), field.degrees)
            values = {"time": duration(found["minutes"]), "hot": hot, "degrees": field.degrees, "shown": shown}
            self.add_error("leaves_c", text % values)

    def _ask_unit(self, name: str, celsius: Decimal | None) -> None:
        """Ask about a heating step's temperature that is likely in the other unit; who writes the unit means it."""
        if celsius is None or LEAST_HEATED_C <= celsius <= MOST_HEATED_C:
            return
        field = self.fields[name]
        if isinstance(field, TemperatureField) and (shown := field.without_unit(self[name].data)):
            other = "C" if field.degrees == "F" else "F"
            self.add_error(name, unit_asked(shown, field.degrees, other, cold=celsius < LEAST_HEATED_C))

    def draft(self) -> StepData:
        """Return the step as the service takes it; call it on a clean form."""
        found = self.cleaned_data
        return StepData(
            name=found["name"],
            kind=found["kind"],
            role_id=int(found["role"]) if found["role"] else None,
            hands_fixed=found["hands_fixed"] or Decimal(0),
            hands_each=found["hands_each"] or Decimal(0),
            station_id=int(found["station"]) if found["station"] else None,
            minutes=found["minutes"],
            temperature_c=found["temperature_c"],
            wait_min=found["wait_min"],
            hold_max=found["hold_max"],
            text=found["text"],
            leaves_c=found.get("leaves_c"),
            attended=found["attended"],
            **self.more(),
        )

    def more(self) -> dict[str, Any]:
        """Return the fields that only a recipe's or only a product's step has."""
        return {}


class RecipeStepForm(StepForm):
    """A step of a recipe; one that leaves hot says what the batch then stands in."""

    hands_each = MassRateField(what=_("the labor minutes"), least=0, most=100_000, required=False, example="2.5")
    vessel = PickField(what=_("the vessel"), label=_("Then stands in"), required=False)
    vessels = WholeField(
        what=_("how many vessels"),
        label=_("In how many"),
        least=1,
        most=10_000,
        required=False,
        example="2",
        help_text=_("Empty: as many as needed."),
    )
    depth_cm = LengthField(
        what=_("the depth"),
        label=_("Deep at most"),
        above=0,
        most=100,
        required=False,
        examples=("2", "5"),
        help_text=_("Empty: as full as it fits."),
    )
    covered = forms.BooleanField(
        label=_("Lid or film on while it cools"),
        required=False,
        help_text=_("It then cools more slowly. Without the check mark it is computed open: cover it once it is cold."),
    )
    ice_bath = forms.BooleanField(
        label=_("In an ice bath first"),
        required=False,
        help_text=_(
            "The vessels stand in ice and water, up to the level of the food. “Wait at least” is then the time in it."
        ),
    )
    bath_min = SpanField(
        label=_("Or for this long"), what=_("the time in the ice bath"), help_text=_("A time instead of a temperature.")
    )
    stir_min = SpanField(
        label=_("Stirred every"), what=_("the time between two stirrings"), help_text=_("In the ice bath.")
    )

    def __init__(self, *args: Any, choices: StepChoices, rates: Sequence[Decimal] = (), **kwargs: Any) -> None:
        super().__init__(*args, choices=choices, **kwargs)
        self.fields["hands_each"].known = rates  # type: ignore[attr-defined]  # a rate field
        PickField.set_choices(self, "vessel", [("", gettext("not stated")), *choices.vessels])
        # The style sheet shows the vessel's fields where something is written here.
        self.fields["leaves_c"].widget.attrs["placeholder"] = " "
        self.fields["leaves_c"].help_text = gettext("Core temperature, if it leaves hot.")
        self.fields["bath_to_c"] = _bath_end(choices.degrees)

    def clean(self) -> dict[str, Any]:
        found = super().clean()
        standing = any(found.get(name) not in (None, "", False) for name in STANDING_FIELDS)
        if standing and found.get("leaves_c") is None and "leaves_c" not in self.errors:
            self.add_error("leaves_c", gettext("Enter how warm it leaves, or clear its vessel and ice bath."))
        if (found.get("vessels") or found.get("depth_cm")) and not found.get("vessel") and "vessel" not in self.errors:
            self.add_error("vessel", gettext("Choose the vessel, or clear how many there are and how deep."))
        if found.get("covered") and not found.get("vessel") and "vessel" not in self.errors:
            self.add_error("vessel", gettext("Choose the vessel, or clear that its lid is on."))
        if found.get("stir_min") is not None and not found.get("ice_bath"):
            self.add_error("ice_bath", gettext("Check the ice bath, or clear how often it is stirred."))
        least, most = STIR_MIN
        if found.get("stir_min") is not None and not least <= found["stir_min"] <= most:
            sentence = gettext(
                "Enter a time from %(least)s to %(most)s min, or clear it: less often counts as unstirred."
            )
            self.add_error("stir_min", sentence % {"least": least, "most": most})
        self._check_bath_end(found)
        return found

    def _check_bath_end(self, found: dict[str, Any]) -> None:
        """Refuse an end of the ice bath without one, two ends, and an end that is no colder than its beginning."""
        ends = [name for name in ("bath_to_c", "bath_min") if found.get(name) is not None]
        if ends and not found.get("ice_bath"):
            self.add_error("ice_bath", gettext("Check the ice bath, or clear its end."))
        if len(ends) == 2:
            self.add_error(
                "bath_min", gettext("Enter the temperature or the time at the end of the ice bath, not both.")
            )
        least, most = BATH_MIN
        if found.get("bath_min") is not None and not least <= found["bath_min"] <= most:
            sentence = gettext("Enter a time from %(least)s min to %(most)s h, or clear it.")
            self.add_error("bath_min", sentence % {"least": least, "most": most // 60})
        to_c, leaves_c = found.get("bath_to_c"), found.get("leaves_c")
        if to_c is not None and leaves_c is not None and to_c >= leaves_c:
            self.add_error("bath_to_c", gettext("It leaves the step no warmer than this. Enter a colder temperature."))

    def more(self) -> dict[str, Any]:
        found = self.cleaned_data
        return {
            "vessel_id": int(found["vessel"]) if found["vessel"] else None,
            "vessels": found["vessels"],
            "depth_cm": found["depth_cm"],
            "covered": found["covered"],
            "ice_bath": found["ice_bath"],
            "stir_min": found["stir_min"],
            "bath_to_c": found["bath_to_c"],
            "bath_min": found["bath_min"],
        }


#: What was in the oven this long is asked about where it leaves colder than hot food [min]; own choice.
_LONG_BAKE_MIN: Final = 20


def _leaves_oven_cool(found: Mapping[str, Any], celsius: Decimal) -> bool:
    """Return whether something baked long leaves colder than the rule for cooked food counts as hot."""
    minutes = found.get("minutes")
    long = isinstance(minutes, int | float | Decimal | Fraction) and minutes >= _LONG_BAKE_MIN
    return found.get("kind") == Step.Kind.BAKE and long and LEAST_HEATED_C <= celsius < Decimal(str(round(HOT_C, 6)))


def unit_asked(shown: str, degrees: str, other: str, *, cold: bool) -> str:
    """Ask in which unit a temperature is."""
    least = degrees_shown(LEAST_HEATED_C, degrees)
    values = {"least": least, "shown": shown, "degrees": degrees, "other": other}
    parts = [
        gettext("A step that heats is warmer than %(least)s °%(degrees)s.")
        if cold
        else gettext("%(shown)s °%(degrees)s is hotter than an oven.")
    ]
    if not cold or degrees == "F":
        parts.append(gettext("Is this in °%(other)s? Then enter %(shown)s °%(other)s."))
    parts.append(gettext("If it is right, enter %(shown)s °%(degrees)s."))
    return " ".join(parts) % values


_LEFT_EARLIER: Final = marked(
    "In this step it waits and cools. Enter “Leaves at” in the step before it, which ends warm, and clear it here."
)


def _leaves(degrees: str) -> TemperatureField:
    return TemperatureField(
        what=_("the temperature it leaves at"),
        degrees=degrees,
        within=LEAVES_C,
        examples=("176", "80"),
        label=gettext("Leaves at °%(degrees)s") % {"degrees": degrees},
        help_text=_("Core temperature when the step ends."),
    )


def _bath_end(degrees: str) -> TemperatureField:
    return TemperatureField(
        what=_("the temperature at the end of the ice bath"),
        degrees=degrees,
        within=BATH_TO_C,
        examples=("70", "21"),
        label=gettext("Until its middle is at °%(degrees)s") % {"degrees": degrees},
        help_text=_("Empty: until the first limit if a stay in the cold follows, else until it is cold."),
    )


class RecipeStepSet(RowSet[RecipeStepForm]):
    """All steps of a recipe, in order."""

    unfolded = 0
    form = RecipeStepForm
    row_word = _("Step")
    spare_rows = 0


def recipe_step_initial(step: RecipeStep) -> dict[str, Any]:
    """Return a saved step of a recipe as the form shows it."""
    return step_initial(step) | {
        "vessel": str(step.vessel_id or ""),
        "vessels": step.vessels,
        "depth_cm": step.depth_cm,
        "covered": step.covered,
        "ice_bath": step.ice_bath,
        "stir_min": step.stir_min,
        "bath_to_c": step.bath_to_c,
        "bath_min": step.bath_min,
    }


def step_initial(step: Step) -> dict[str, Any]:
    """Return a saved step as the form shows it."""
    return {
        "name": step.name,
        "kind": step.kind,
        "role": str(step.role_id or ""),
        "hands_fixed": step.hands_fixed or None,
        "hands_each": step.hands_each or None,
        "station": str(step.station_id or ""),
        "minutes": step.minutes,
        "temperature_c": step.temperature_c,
        "wait_min": step.wait_min,
        "hold_max": step.hold_max,
        "text": step.text,
        "leaves_c": step.leaves_c,
        "attended": step.attended,
    }
