"""The rows of a draft's table for one-off work and rental, with what was asked of their labels."""

from collections.abc import Sequence
from typing import Any, Final

from django import forms
from djmoney.money import Money

from catalog.pantry.allergens import allergen_choices, asked_of
from catalog.taxes.models import TaxCategory
from catalog.web.money_fields import MoneyField
from orders.quotes.draft.dessert_table import TableExtra
from orders.quotes.models import QuoteExtra
from orders.records.money import from_minor, minor_units

#: Most rows of a list.
MOST_ROWS: Final = 60
#: The most an extra may cost or be charged.
_MOST_EXTRA = 100_000_000


def charged_in(currency: str, *fields: forms.Field) -> None:
    """Let money fields read whole minor units of a currency."""
    for field in fields:
        field.use_currency(currency, charged=True)  # type: ignore[attr-defined]  # a money field


class ExtraForm(forms.Form):
    """One-off work or rental."""

    name = forms.CharField(label="What", max_length=80, required=False)
    tax = forms.ChoiceField(
        label="Taxed as", required=False, error_messages={"invalid_choice": "Choose how it is taxed."}
    )
    cost = MoneyField(what="what it costs you", label="Costs you", required=False, most=_MOST_EXTRA)
    amount = MoneyField(what="what you charge for it", label="You charge", required=False, most=_MOST_EXTRA)

    food = forms.ChoiceField(
        label="Allergens",
        required=False,
        choices=QuoteExtra.Food.choices,
        error_messages={"invalid_choice": "Choose whether it is food or touches it."},
    )
    contains = forms.MultipleChoiceField(
        label="Contains",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Choose allergens from the list."},
    )
    may_contain = forms.MultipleChoiceField(
        label="May contain",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Choose allergens from the list."},
    )

    def __init__(
        self, *args: Any, taxes: Sequence[TaxCategory], currency: str, allergen_list: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.taxes, self.asked = {str(tax.pk): tax for tax in taxes}, asked_of(allergen_list)
        for name in ("contains", "may_contain"):
            choices = allergen_choices(allergen_list, self.initial.get(name) or ())
            self.fields[name].choices = choices  # type: ignore[attr-defined]  # a choice field
        self.fields["tax"].choices = [(key, str(tax)) for key, tax in self.taxes.items()]  # type: ignore[attr-defined]  # a choice field
        charged_in(currency, self.fields["cost"], self.fields["amount"])

    def clean(self) -> dict[str, Any]:
        """Require the missing values of a row that is not empty."""
        values = super().clean() or self.cleaned_data
        if values.get("DELETE"):
            self.errors.clear()
            return values
        money = values.get("amount") is not None or values.get("cost") is not None
        if money and not values.get("name"):
            self.add_error("name", "Name the extra, such as cake stands.")
        if values.get("name") and values.get("amount") is None and "amount" not in self.errors:
            self.add_error("amount", f"Enter what you charge for {values['name']}; 0 when it is included.")
        if values.get("name") and not values.get("tax") and "tax" not in self.errors:
            self.add_error("tax", f"Choose how {values['name']} is taxed.")
        if (values.get("contains") or values.get("may_contain")) and values.get("food") != QuoteExtra.Food.CHECKED:
            self.add_error("food", "Allergens are ticked: choose that its label was read, or untick them.")
        return values

    def extra(self) -> TableExtra | None:
        """Return the row as an extra, or None when it is empty."""
        values = getattr(self, "cleaned_data", {})
        if not values.get("name") or values.get("DELETE") or self.errors:
            return None
        tax = self.taxes[values["tax"]]
        return TableExtra(
            name=values["name"],
            cost_minor=minor_units_or_none(values.get("cost")) or 0,
            amount_minor=minor_units(values["amount"]),
            tax_id=tax.pk,
            tax_code=tax.code,
            food=values["food"],
            allergens=tuple(values["contains"]),
            may_contain=tuple(code for code in values["may_contain"] if code not in values["contains"]),
            free_of=self._free_of(values),
        )

    def _free_of(self, values: dict[str, Any]) -> tuple[str, ...]:
        """Return what the list asks and its label does not name; the answer holds for this list alone."""
        named = {*values["contains"], *values["may_contain"]}
        read = values["food"] == QuoteExtra.Food.CHECKED
        return tuple(code for code in self.asked if code not in named) if read else ()


class BaseExtraFormSet(forms.BaseFormSet[ExtraForm]):
    """The extras of a table."""

    row_word = "Extra"


ExtraFormSet = forms.formset_factory(
    ExtraForm, formset=BaseExtraFormSet, extra=1, max_num=MOST_ROWS, absolute_max=MOST_ROWS + 20, can_delete=True
)


def minor_units_or_none(amount: Money | None) -> int | None:
    """Return an amount in minor units, or None."""
    return None if amount is None else minor_units(amount)


def extra_shown(extra: TableExtra, currency: str) -> dict[str, Any]:
    """Return the form's values for an extra."""
    money = {"cost": from_minor(extra.cost_minor, currency), "amount": from_minor(extra.amount_minor, currency)}
    label = {"food": extra.food, "contains": list(extra.allergens), "may_contain": list(extra.may_contain)}
    return {"name": extra.name, "tax": str(extra.tax_id), **money, **label}
