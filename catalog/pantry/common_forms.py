"""The form of common ingredients: a tick, a pack and a price for each."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.pantry.common import PACKING, Common, common_ingredients
from catalog.pantry.common_services import Ticked
from catalog.pantry.forms import PackSizeField
from catalog.records.numbers import MOST_PRICE
from catalog.web.money_fields import PackPriceField


class CommonRow(forms.Form):
    """One of them; entering a pack ticks it."""

    take = forms.BooleanField(required=False)
    size = PackSizeField(what=_("the pack"), label=_("Pack"), required=False)
    price = PackPriceField(what=_("the price"), most=MOST_PRICE, label=_("Price"), required=False, example="24.60")

    def __init__(self, data: Any, *, common: Common, kitchen: Kitchen, present: bool) -> None:
        super().__init__(data, prefix=common.key)
        self.common, self.present, self.name = common, present, common.name(kitchen.country)
        fields: dict[str, Any] = self.fields
        fields["take"].label = self.name
        fields["price"].use_currency(kitchen.currency, charged=False)
        if common.group == PACKING:
            fields["size"].kinds = frozenset({"count"})
        fields["size"].counted = common.counted
        for name in ("size", "price"):
            words = {"name": self.name, "what": str(fields[name].label)}
            fields[name].widget.attrs["placeholder"] = words["what"]
            fields[name].label = gettext("%(name)s: %(what)s") % words
        fields["price"].what = gettext("the price of %(name)s") % {"name": self.name}

    def clean(self) -> dict[str, Any]:
        """Ask for both of pack and price, or none."""
        data = super().clean() or {}
        if unread := self.errors.get("size"):
            # A summary of many rows names the goods that a pack is of.
            words = gettext("%(name)s: %(problem)s")
            self.errors["size"] = self.error_class([words % {"name": self.name, "problem": one} for one in unread])
        size, price = data.get("size"), data.get("price")
        if not self.errors and bool(size) != (price is not None):
            missing, sentence = (
                ("price", gettext("%(name)s: enter the price of this pack too, or empty the pack."))
                if size
                else ("size", gettext("%(name)s: enter the pack this price buys, such as 1 lb."))
            )
            self.add_error(missing, ValidationError(sentence % {"name": self.name}, code="half"))
        return data

    @property
    def ticked(self) -> Ticked | None:
        """What was chosen; None where nothing was."""
        size, price = self.cleaned_data.get("size") or "", self.cleaned_data.get("price")
        if not (self.cleaned_data.get("take") or size):
            return None
        return Ticked(self.common, size, None if price is None else price.amount)


@dataclass(frozen=True, slots=True)
class CommonGroup:
    """The rows of one group; ``opened`` where something is chosen or wrong."""

    code: str
    rows: tuple[CommonRow, ...]

    @property
    def opened(self) -> bool:
        return any(row.errors or row["take"].value() or row["size"].value() for row in self.rows)


class CommonForms:
    """All rows, and whom the prices are from."""

    def __init__(self, data: Any, *, kitchen: Kitchen, present: frozenset[str]) -> None:
        self.supplier = SupplierOfAll(data)
        self.rows = [
            CommonRow(
                data,
                common=one,
                kitchen=kitchen,
                present=any(name.casefold() in present for name in one.names.values()),
            )
            for one in common_ingredients().values()
        ]

    def __iter__(self) -> Iterator[forms.Form]:
        return iter((self.supplier, *self.rows))

    def is_valid(self) -> bool:
        """Check all rows, so that all that is wrong is shown at once."""
        return all([form.is_valid() for form in self])  # noqa: C419

    def ticked(self) -> list[Ticked]:
        """Return what was chosen; call it when all is valid."""
        return [one for row in self.rows if not row.present and (one := row.ticked)]

    @property
    def groups(self) -> list[CommonGroup]:
        """The rows by group, in the order of the list."""
        codes = dict.fromkeys(row.common.group for row in self.rows)
        return [CommonGroup(code, tuple(row for row in self.rows if row.common.group == code)) for code in codes]


class SupplierOfAll(forms.Form):
    """Whom the prices are from."""

    supplier = forms.CharField(
        max_length=80,
        required=False,
        label=_("Supplier of these prices"),
        widget=forms.TextInput(attrs={"list": "suppliers"}),
    )
