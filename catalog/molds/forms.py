"""The form of a mold."""

from typing import Any

from django import forms

from catalog.molds.models import Mold
from catalog.molds.services import MoldData
from catalog.web import display
from catalog.web.fields import WholeField
from catalog.web.measure_fields import LengthField, PickField, WordsField


def _length(label: str, **kwargs: Any) -> LengthField:
    return LengthField(what=f"the {label.lower()}", above=0, required=False, label=label, **kwargs)


class MoldForm(forms.Form):
    """Name, shape, inside measures, how many are owned."""

    name = WordsField(
        what="the name", most=80, label="Name", error_messages={"required": "Enter a name, such as Deep ring."}
    )
    shape = PickField(what="the shape", label="Shape", choices=Mold.Shape.choices)
    diameter_cm = _length("Diameter", help_text="Inside, for round ones.")
    length_cm = _length("Length", help_text="Inside, for the others.")
    width_cm = _length("Width")
    height_cm = _length("Height")
    owned = WholeField(
        what="how many you own",
        label="How many you own",
        least=1,
        most=10_000,
        initial=1,
        example="6",
        help_text="As many units are made at once, unless a product says otherwise.",
    )
    wall = PickField(
        what="what it is made of",
        label="Made of",
        choices=Mold.Wall.choices,
        help_text="Metal lets the cold through; glass, silicone and card hold it up.",
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
            raise forms.ValidationError(f"There is already a mould named {name}. Give this one another name.")
        return name

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        needed = ("diameter_cm",) if found.get("shape") == Mold.Shape.ROUND else ("length_cm", "width_cm")
        for name in needed:
            if found.get(name) is None and name not in self.errors:
                what = self.fields[name].label
                unit, example = ("inches", 9) if display.length_unit() == "in" else ("centimeters", 24)
                self.add_error(name, f"Enter the {str(what).lower()} inside, in {unit}, such as {example}.")
        return found

    def mold_data(self) -> MoldData:
        """Return the mold as the service takes it; measures that do not belong to its shape are dropped."""
        found = dict(self.cleaned_data)
        for name in ("length_cm", "width_cm") if found["shape"] == Mold.Shape.ROUND else ("diameter_cm",):
            found[name] = None
        return MoldData(**found)
