"""The form of a mold."""

from typing import Any, Final

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.molds.models import Mold
from catalog.molds.services import MoldData
from catalog.web import display
from catalog.web.fields import WholeField
from catalog.web.measure_fields import PickField, WordsField
from catalog.web.unit_fields import LengthField


def _length(what: str, **kwargs: Any) -> LengthField:
    return LengthField(what=what, above=0, required=False, **kwargs)


#: Measures that a shape needs -> how they are asked for.
_ASKED: Final = {
    "diameter_cm": marked("Enter the inside diameter, such as %(example)s."),
    "length_cm": marked("Enter the inside length, such as %(example)s."),
    "width_cm": marked("Enter the inside width, such as %(example)s."),
}


class MoldForm(forms.Form):
    """Name, shape, inside measures, how many are owned."""

    name = WordsField(
        what=marked("the name"),
        most=80,
        label=_("Name"),
        error_messages={"required": _("Enter a name, such as Deep ring.")},
    )
    shape = PickField(what=marked("the shape"), label=_("Shape"), choices=Mold.Shape.choices)
    diameter_cm = _length(marked("the diameter"), label=_("Diameter"), help_text=_("Inside, if it is round."))
    length_cm = _length(marked("the length"), label=_("Length"), help_text=_("Inside, if it is not round."))
    width_cm = _length(marked("the width"), label=_("Width"))
    height_cm = _length(marked("the height"), label=_("Height"))
    owned = WholeField(
        what=marked("the number owned"),
        label=_("Number owned"),
        least=1,
        most=10_000,
        initial=1,
        example="6",
        help_text=_("As many are made at once, unless a product says otherwise."),
    )
    wall = PickField(
        what=marked("the material"),
        label=_("Material"),
        choices=Mold.Wall.choices,
        help_text=_("Food cools faster in metal, slower in glass, silicone or card."),
    )

    def __init__(self, data: Any = None, *, mold: Mold | None = None) -> None:
        initial = {name: getattr(mold, name) for name in MoldData.__dataclass_fields__} if mold else None
        super().__init__(data, initial=initial)
        self.mold = mold

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        others = Mold.objects.filter(name__iexact=name)
        if self.mold:
            others = others.exclude(pk=self.mold.pk)
        if others.exists():
            raise forms.ValidationError(
                gettext("There is already a mold named %(name)s. Enter another name.") % {"name": name}
            )
        return name

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        needed = ("diameter_cm",) if found.get("shape") == Mold.Shape.ROUND else ("length_cm", "width_cm")
        for name in needed:
            if found.get(name) is None and name not in self.errors:
                inches = display.length_unit() == "in"
                ask = gettext(_ASKED[name]) % {"example": gettext("9 inches") if inches else gettext("24 cm")}
                self.add_error(name, ask)
        return found

    def mold_data(self) -> MoldData:
        """Return the mold as the service takes it; measures that do not belong to its shape are dropped."""
        found = dict(self.cleaned_data)
        for name in ("length_cm", "width_cm") if found["shape"] == Mold.Shape.ROUND else ("diameter_cm",):
            found[name] = None
        return MoldData(**found)
