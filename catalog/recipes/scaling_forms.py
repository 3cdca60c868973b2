"""Forms that scale a recipe to another quantity or another pan."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Any, Final

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.selectors import kitchen
from catalog.molds.models import Mold
from catalog.molds.pans import Pan, mold_pan, pan_factor
from catalog.products.models import Product
from catalog.recipes.scaling import Scaled, copied_amounts, scaled
from catalog.recipes.selectors import RecipePage
from catalog.web.display import current
from catalog.web.fields import WholeField
from catalog.web.measure_fields import MeasureField, PickField, WordsField
from catalog.web.unit_fields import LengthField
from costing.measures.measure import parse_measure
from costing.measures.units import CupKind


def _cup() -> CupKind:
    return "metric" if kitchen().cup == "metric" else "us"


def _scaled(page: RecipePage, factor: Fraction) -> Scaled:
    return scaled(page.card, [line.label for line in page.lines], factor, _cup())


class ScaleForm(forms.Form):
    """The quantity wanted: a weight, or units of a product."""

    amount = MeasureField(
        what=marked("the weight you want"),
        mass=True,
        required=False,
        label=_("Weight"),
        help_text=_("Such as 5 kg or 12 lb."),
    )
    product = PickField(what=marked("a product"), required=False, label=_("Or a product"))
    units = WholeField(
        what=marked("the number of pieces"),
        least=1,
        most=1_000_000,
        required=False,
        label=_("Number of pieces"),
        example="40",
    )

    def __init__(
        self, data: Any = None, *, page: RecipePage | None = None, products: Iterable[Product] = (), **kwargs: Any
    ) -> None:
        super().__init__(data, **kwargs)
        self.page, self.products = page, {str(product.pk): product for product in products}
        choices = [("", gettext("Choose a product")), *((pk, row.name) for pk, row in self.products.items())]
        PickField.set_choices(self, "product", choices)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if self.errors or found.get("amount"):
            return found
        if found.get("product") and not found.get("units"):
            self.add_error("units", gettext("Enter the number of pieces, such as 40."))
        elif not found.get("product"):
            self.add_error(
                "amount", gettext("Enter a weight such as 5 kg, or choose a product and the number of pieces.")
            )
        return found

    def scaled(self) -> Scaled | None:
        """Return the recipe at the requested size; None when the form or the recipe has errors."""
        if self.page is None or not self.is_valid() or self.page.card.line_problems or not self.page.card.output:
            return None
        return _scaled(self.page, self._wanted() / self.page.card.output)

    def _wanted(self) -> Fraction:
        found = self.cleaned_data
        if found["amount"]:
            return parse_measure(str(found["amount"])).in_base(_cup())
        product = self.products[found["product"]]
        each = sum((parse_measure(fill.amount).in_base(_cup()) for fill in product.fills.all()), Fraction(0))
        return each * int(found["units"])


_DIAMETER: Final = {"what": marked("the diameter"), "label": _("Diameter")}
_LENGTH: Final = {"what": marked("the length"), "label": _("Length")}
_WIDTH: Final = {"what": marked("the width"), "label": _("Width")}
_HEIGHT: Final = {"what": marked("the fill height"), "label": _("Fill height")}


def _length(words: dict[str, Any]) -> LengthField:
    return LengthField(above=0, required=False, **words)


class PanForm(forms.Form):
    """From one pan to another: molds the kitchen owns, or measures entered."""

    mold_from = PickField(what=marked("the mold"), required=False, label=_("Your mold"))
    shape_from = PickField(
        what=marked("the shape"), required=False, choices=Mold.Shape.choices, label=_("Or its shape")
    )
    diameter_from = _length(_DIAMETER)
    length_from = _length(_LENGTH)
    width_from = _length(_WIDTH)
    height_from = _length(_HEIGHT)
    mold_to = PickField(what=marked("the mold"), required=False, label=_("Your mold"))
    shape_to = PickField(what=marked("the shape"), required=False, choices=Mold.Shape.choices, label=_("Or its shape"))
    diameter_to = _length(_DIAMETER)
    length_to = _length(_LENGTH)
    width_to = _length(_WIDTH)
    height_to = _length(_HEIGHT)
    name = WordsField(what=marked("the name"), most=400, required=False, label=_("Name of the new recipe"))

    def __init__(self, data: Any = None, *, page: RecipePage, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.page = page
        self.molds = {str(mold.pk): mold for mold in Mold.objects.all()}
        for name in ("mold_from", "mold_to"):
            PickField.set_choices(
                self, name, [("", gettext("Another pan")), *((pk, mold.name) for pk, mold in self.molds.items())]
            )

    def _pan(self, side: str) -> Pan:
        found = self.cleaned_data
        height = found.get(f"height_{side}")
        mold = self.molds.get(found.get(f"mold_{side}") or "")
        if mold is not None:
            return mold_pan(mold, height)
        sizes = (found.get(f"{name}_{side}") for name in ("diameter", "length", "width", "height"))
        exact = (None if size is None else Fraction(size) for size in sizes)
        return Pan(found.get(f"shape_{side}") or Mold.Shape.ROUND, *exact)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if self.errors:
            return found
        for side in ("from", "to"):
            if self._pan(side).area is None:
                self.add_error(f"mold_{side}", _no_pan(side))
        if not self.errors and self.factor is None:
            self.add_error(
                "mold_to", gettext("These two pans are too different to scale between. Check their measures.")
            )
        return found

    @property
    def factor(self) -> Fraction | None:
        """The ratio of volumes."""
        return pan_factor(self._pan("from"), self._pan("to"))

    @property
    def by_area(self) -> bool:
        """Whether a height was missing, so that the same depth is assumed."""
        return not (self._pan("from").volume and self._pan("to").volume)

    def scaled(self) -> Scaled | None:
        """Return the recipe for the other pan; None when the form or the recipe has errors."""
        if not self.is_bound or not self.is_valid() or self.page.card.line_problems or self.factor is None:
            return None
        return _scaled(self.page, self.factor)

    def amounts(self) -> list[str]:
        """Return the amounts to save for the other pan; empty when there are none."""
        if self.factor is None or self.page.card.line_problems:
            return []
        return copied_amounts(self.page.card, self.factor, _cup(), pounds=current().measures == "us")

    def new_name(self) -> str:
        """Return the name for the new recipe."""
        mold = self.molds.get(self.cleaned_data.get("mold_to") or "")
        pan = mold.name if mold else gettext("another pan")
        name = gettext("%(recipe)s, %(pan)s") % {"recipe": self.page.recipe.name, "pan": pan}
        return self.cleaned_data.get("name") or name[:500]


def _no_pan(side: str) -> str:
    if side == "from":
        return gettext("Choose the original mold, or enter its size: a diameter, or a length and a width.")
    return gettext("Choose the new mold, or enter its size: a diameter, or a length and a width.")
