"""The product editor's fields that a plan counts: places one load takes, and whether the mold leaves."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.web.fields import WholeField
from catalog.web.folds import FoldedFields
from costing.contract.plan_bounds import BACK_DAYS, MOST_PLACES

_PLACES = tuple(f"places_{kind}" for kind in sorted(Station.Kind.values))


def _places(label: Any, what: Any) -> WholeField:
    return WholeField(what=what, label=label, least=1, most=MOST_PLACES, required=False, example="2")


class PlanFields(FoldedFields):
    """Places of one load at each kind of station; a mold that leaves with the customer."""

    places_oven = _places(_("Oven"), _("the oven places"))
    places_refrigerator = _places(_("Refrigerator"), _("the refrigerator places"))
    places_freezer = _places(_("Freezer"), _("the freezer places"))
    places_rack = _places(_("Rack"), _("the rack places"))
    places_bench = _places(_("Bench"), _("the bench places"))
    mold_leaves = forms.BooleanField(
        label=_("The mold leaves with the customer"), required=False, help_text=_("Such as glasses and cups.")
    )
    mold_back_days = WholeField(
        what=_("the days until the mold is back"),
        label=_("Days after the event until it is back or replaced"),
        least=0,
        most=BACK_DAYS,
        required=False,
        example="3",
        help_text=_("Empty: it does not come back."),
    )

    @property
    def leaves_entered(self) -> bool:
        """Whether it is said that the mold leaves, or something about it is wrong."""
        return self._entered("mold_leaves", "mold_back_days")

    @property
    def places_entered(self) -> bool:
        """The same of places one load takes."""
        return self._entered(*_PLACES)

    @property
    def places_wrong(self) -> bool:
        """Whether the number of places at one station is wrong."""
        return self._wrong(*_PLACES)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if found.get("mold_leaves") and not found.get("mold") and "mold" not in self.errors:
            self.add_error("mold", gettext("Choose the mold that leaves with the customer, or clear that it leaves."))
        if found.get("mold_back_days") is not None and not found.get("mold_leaves"):
            self.add_error("mold_leaves", gettext("Check that the mold leaves, or clear the days until it is back."))
        return found


def places_taken(found: dict[str, Any]) -> dict[str, int]:
    """Take the places out of a form's values, by kind of station."""
    named = {name.removeprefix("places_"): found.pop(name, None) for name in _PLACES}
    return {kind: places for kind, places in named.items() if places is not None}


def plan_initial(product: Product) -> dict[str, Any]:
    """Return what is saved as the form shows it."""
    places = {f"places_{kind}": count for kind, count in product.load_places.items()}
    return places | {"mold_leaves": product.mold_leaves, "mold_back_days": product.mold_back_days}
