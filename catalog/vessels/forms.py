"""The form of a vessel."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.molds.models import Mold
from catalog.vessels.models import Vessel
from catalog.vessels.services import VesselData
from catalog.web.fields import WholeField
from catalog.web.measure_fields import PickField, WordsField
from catalog.web.unit_fields import LengthField


def _length(what: str, **kwargs: Any) -> LengthField:
    return LengthField(what=what, above=0, most=300, required=False, **kwargs)


class VesselForm(forms.Form):
    """Name, kind, inside measures, what it is made of, how many are owned."""

    name = WordsField(
        what=marked("the name"),
        most=80,
        label=_("Name"),
        error_messages={"required": _("Enter a name, such as Tub, 6 qt.")},
    )
    kind = PickField(what=marked("the kind of vessel"), label=_("Kind"), choices=Vessel.Kind.choices)
    diameter_cm = _length(marked("the diameter"), label=_("Diameter"), help_text=_("Inside, for a round one."))
    length_cm = _length(marked("the length"), label=_("Length"), help_text=_("Inside, for any other."))
    width_cm = _length(marked("the width"), label=_("Width"))
    height_cm = _length(marked("the height"), label=_("Height"), help_text=_("Inside, from floor to rim."))
    wall = PickField(
        what=marked("the material"),
        label=_("Material"),
        choices=Mold.Wall.choices,
        help_text=_("Metal lets the cold through; plastic holds it up, most of all in an ice bath."),
    )
    owned = WholeField(
        what=marked("the number owned"),
        label=_("Number owned"),
        least=1,
        most=10_000,
        required=False,
        example="6",
        help_text=_("A batch that needs more is marked. Empty: not known, and nothing checks it."),
    )

    def __init__(self, data: Any = None, *, vessel: Vessel | None = None, prefix: str | None = None) -> None:
        initial = {name: getattr(vessel, name) for name in VesselData.__dataclass_fields__} if vessel else None
        super().__init__(data, initial=initial, prefix=prefix)
        self.vessel = vessel

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        others = Vessel.objects.filter(name__iexact=name)
        if self.vessel:
            others = others.exclude(pk=self.vessel.pk)
        if others.exists():
            taken = gettext("There is already a vessel named %(name)s. Give this one another name.")
            raise forms.ValidationError(taken % {"name": name})
        return name

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        sides = [name for name in ("length_cm", "width_cm") if found.get(name) is not None]
        if found.get("diameter_cm") is not None and sides:
            self.add_error(sides[0], _("Enter either the diameter, or the length and the width. Clear the other."))
        if "diameter_cm" not in self.errors and found.get("diameter_cm") is None:
            self._sides_needed(found)
        self._needed("height_cm", found, gettext("Enter the height inside, from floor to rim, such as 10 cm or 4 in."))
        return found

    def _sides_needed(self, found: dict[str, Any]) -> None:
        if found.get("length_cm") is None and found.get("width_cm") is None and "length_cm" not in self.errors:
            self.add_error(
                "diameter_cm", _("Enter the diameter of a round vessel; for any other, its length and its width.")
            )
            return
        self._needed("length_cm", found, gettext("Enter the length inside, such as 50 cm or 20 in."))
        self._needed("width_cm", found, gettext("Enter the width inside, such as 30 cm or 12 in."))

    def _needed(self, name: str, found: dict[str, Any], sentence: str) -> None:
        if found.get(name) is None and name not in self.errors:
            self.add_error(name, sentence)

    def vessel_data(self) -> VesselData:
        """Return the vessel as the service takes it."""
        return VesselData(**self.cleaned_data)
