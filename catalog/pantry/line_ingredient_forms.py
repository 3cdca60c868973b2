"""An ingredient that is missing in a line of an editor, added there: few fields, inside the editor's own form.

Its fields stand beside those of the editor and are submitted with them (``new-…``), with or without script: what is
half entered comes back as it was.
"""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.pantry.common import PACKING, Common, common_of, commonly_same
from catalog.pantry.common_services import NewIngredient, ingredient_add_priced
from catalog.pantry.food_table import density_of_cup
from catalog.pantry.forms import PackSizeField
from catalog.pantry.models import Ingredient
from catalog.pantry.presenters import common_known_words
from catalog.records.numbers import MOST_PRICE
from catalog.web.fields import NumberField
from catalog.web.money_fields import MoneyField
from catalog.web.near_forms import AsksNear
from catalog.web.numbers import written_here
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.spelling import normalise_measure

PREFIX = "new"


class LineIngredientForm(AsksNear):
    """Name, weight of a cup or a piece where the line needs it, pack and price.

    ``row`` is the line's number from 0, ``instead`` what stood there when it was opened.
    """

    row = forms.IntegerField(min_value=0, max_value=999, widget=forms.HiddenInput)
    instead = forms.CharField(max_length=800, required=False, widget=forms.HiddenInput)
    name = forms.CharField(
        max_length=120, label=_("Name"), error_messages={"required": _("Enter the ingredient's name.")}
    )
    cup_grams = NumberField(
        what=_("the weight of a cup"),
        above=0,
        most=5000,
        required=False,
        label=_("Weight of a US cup"),
        unit="g",
        example="200",
        help_text=_("In grams. Without it a cup or a spoon of it cannot be weighed."),
    )
    grams_each = NumberField(
        what=_("the weight of one piece"),
        above=0,
        most=100_000,
        required=False,
        label=_("Piece weight"),
        unit="g",
        example="57",
        help_text=_("In grams, as purchased. Without it a count of it cannot be weighed."),
    )
    size = PackSizeField(
        what=_("the pack"), label=_("Pack"), required=False, help_text=_("Such as 25 lb, 1/2 gallon, 15 dozen.")
    )
    price = MoneyField(what=_("the price"), most=MOST_PRICE, label=_("Price"), required=False, example="24.60")

    def __init__(self, data: QueryDict, *, kitchen: Kitchen, counted: bool, amount: str) -> None:
        super().__init__(data, prefix=PREFIX)
        self.kitchen, self.counted = kitchen, counted
        fields: dict[str, Any] = self.fields
        fields["price"].use_currency(kitchen.currency, charged=False)
        fields["price"].label = gettext("Price, %(currency)s") % {"currency": kitchen.currency}
        if counted:
            fields["size"].kinds = frozenset({"count"})
        kind = "" if counted or self.common else _kind(amount)
        if kind != "volume":
            del self.fields["cup_grams"]
        if kind != "count":
            del self.fields["grams_each"]

    @property
    def common(self) -> Common | None:
        """The common ingredient that goes by this name, whose figures are taken."""
        found = common_of(str(self["name"].value() or "")[:120])
        return found if found and (found.group == PACKING) == self.counted else None

    @property
    def known(self) -> str:
        """What comes with the name, in words; empty where nothing does."""
        return common_known_words(self.common) if self.common else ""

    def clean(self) -> dict[str, Any]:
        """Ask for both of pack and price, or none; ask about a name that is near another."""
        data = super().clean() or {}
        size, price = data.get("size"), data.get("price")
        if bool(size) != (price is not None) and not {"size", "price"} & self.errors.keys():
            missing, sentence = (
                ("price", gettext("Enter the price of this pack too, or empty the pack."))
                if size
                else ("size", gettext("Enter the pack this price buys, such as 1 lb."))
            )
            self.add_error(missing, ValidationError(sentence, code="half"))
        self.ask_near(Ingredient, page="ingredient", also=commonly_same(data.get("name") or ""))
        return data

    def save(self) -> Ingredient:
        """Add the ingredient; call it when it is valid."""
        found = self.cleaned_data
        cup, price = found.get("cup_grams"), found.get("price")
        new = NewIngredient(
            name=found["name"],
            common=self.common,
            base=Ingredient.Base.EACH if self.counted else Ingredient.Base.GRAM,
            density=None if cup is None else density_of_cup(cup),
            grams_each=found.get("grams_each"),
        )
        return ingredient_add_priced(
            new=new,
            country=self.kitchen.country,
            size=found.get("size") or "",
            price=None if price is None else price.amount,
            starts=timezone.localdate(),
        )


def _kind(amount: str) -> str:
    """Return what kind of measure an amount is; empty where it cannot be read."""
    try:
        return parse_measure(normalise_measure(amount[:60], written_here())).kind
    except MeasureError:
        return ""
