"""The part of a recipe's page where a vessel is added that a step is missing: its form stands inside the editor's own.

Its fields are submitted with the editor's (``tub-…``), with or without script: what is half entered comes back as it
was, and the recipe need not be saved first.
"""

from dataclasses import dataclass
from typing import Final

from django.contrib import messages
from django.http import HttpRequest, QueryDict
from django.utils import timezone
from django.utils.translation import gettext

from catalog.recipes.step_forms import RecipeStepSet
from catalog.vessels.forms import VesselForm
from catalog.vessels.services import vessel_save

PREFIX: Final = "tub"
_ROW: Final = f"{PREFIX}-row"
_OPEN: Final = "tub-open-"


@dataclass(frozen=True, slots=True)
class StepVessel:
    """The form of a vessel that is added at a step; ``row`` is the step's number from 0."""

    row: int
    form: VesselForm


def step_vessel(request: HttpRequest, data: QueryDict | None, do: str) -> tuple[QueryDict | None, StepVessel | None]:
    """Return the editor's data, and the form of the missing vessel while it is open.

    ``do`` is the button: ``tub-open-3`` opens it at the fourth step, ``tub-add`` adds the vessel and chooses it there,
    ``tub-close`` closes it. Any other button leaves it as it is.
    """
    if data is None or do == "tub-close":
        return data, None
    data = data.copy()
    opens = do.startswith(_OPEN)
    if opens:
        for name in [key for key in data if key.startswith(f"{PREFIX}-")]:
            del data[name]
        data[_ROW] = do.removeprefix(_OPEN)
    row = _row(data)
    if row is None:
        return data, None
    form = VesselForm(data, prefix=PREFIX)
    if do == "tub-add" and form.is_valid():
        added = vessel_save(vessel_id=None, data=form.vessel_data(), by=request.user.get_username(), at=timezone.now())
        data[f"steps-{row}-vessel"] = str(added.pk)
        messages.success(request, gettext("%(name)s is added.") % {"name": added.name})
        return data, None
    if do != "tub-add":
        form.errors.clear()
    if opens:
        form.fields["name"].widget.attrs["autofocus"] = True
    return data, StepVessel(row, form)


def added_focus(steps: RecipeStepSet, data: QueryDict | None) -> None:
    """Give the field in which a vessel was just chosen the focus, so that the page stays at its step."""
    row = _row(data)
    if row is not None and row < len(steps.forms):
        steps.forms[row].fields["vessel"].widget.attrs["autofocus"] = True


def _row(data: QueryDict | None) -> int | None:
    text = "" if data is None else data.get(_ROW, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else None
