"""The form of an ingredient's composition, stated by the kitchen instead of taken from the food table."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as marked

from catalog.pantry.food_table import Food
from catalog.web.display import percentage, plain
from catalog.web.fields import NumberField, capital
from catalog.web.numbers import trimmed
from costing.contract.cooling_bounds import COMPOSITION_SUM

#: Component -> its label. Carbohydrate is counted without fibre, so that the six add up to 100.
COMPONENTS: Final[dict[str, str]] = {
    "water": marked("water"),
    "protein": marked("protein"),
    "fat": marked("fat"),
    "carb": marked("carbohydrate without fiber"),
    "fibre": marked("fiber"),
    "ash": marked("ash (minerals)"),
}


def _first_large(words: str) -> str:
    return capital(gettext(words))


_capital = lazy(_first_large, str)


def _share(name: str) -> NumberField:
    return NumberField(
        what=format_lazy(gettext_lazy("the {component}"), component=gettext_lazy(COMPONENTS[name])),
        least=0,
        most=100,
        required=False,
        example="2.8",
        label=_capital(COMPONENTS[name]),
    )


class CompositionForm(forms.Form):
    """Six percentages by weight: all of them, or none, and then the food table's are used."""

    prefix = "composition"
    water = _share("water")
    protein = _share("protein")
    fat = _share("fat")
    carb = _share("carb")
    fibre = _share("fibre")
    ash = _share("ash")

    def __init__(self, data: Any = None, *, stated: Mapping[str, Any] | None = None, food: Food | None = None) -> None:
        initial = {name: Decimal(str(share)) for name, share in (stated or {}).items() if name in COMPONENTS}
        super().__init__(data, initial=initial)
        for name, share in (food.composition or {}).items() if food else ():
            self.fields[name].help_text = gettext("USDA: %(share)s") % {"share": plain(share, 1)}

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        given = [name for name in COMPONENTS if found.get(name) is not None or name in self.errors]
        missing = [name for name in COMPONENTS if name not in given]
        if given and missing:
            self._ask_for(missing)
        elif given and not self.errors:
            self._check_sum(sum(found[name] for name in COMPONENTS))
        return found

    def _ask_for(self, missing: list[str]) -> None:
        for name in missing:
            sentence = gettext("Enter the %(component)s, 0 for none; or clear all six.")
            self.add_error(name, sentence % {"component": gettext(COMPONENTS[name])})

    def _check_sum(self, whole: Decimal) -> None:
        least, most = COMPOSITION_SUM
        if not least <= whole <= most:
            sentence = gettext(
                "The six add up to %(sum)s and should make about 100%%. Check them: what a label does not name is"
                " mostly water."
            )
            self.add_error("water", sentence % {"sum": percentage(whole)})

    def composition(self) -> dict[str, str]:
        """Return the composition as it is stored: nothing, or six exact percentages as text; for a clean form."""
        given = {name: self.cleaned_data.get(name) for name in COMPONENTS}
        return {name: trimmed(share) for name, share in given.items() if share is not None}
