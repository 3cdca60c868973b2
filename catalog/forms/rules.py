"""Price rules and tax categories with their dated rates."""

from datetime import date
from typing import Any

from django import forms

from catalog.customer_kinds import CUSTOMER_KINDS
from catalog.forms.charging import name_field
from catalog.forms.charging_fields import MoneyField, in_currency
from catalog.forms.fields import DayField, PercentField, WholeField
from catalog.forms.profile import kept_too
from catalog.models import Kitchen, PriceRule, Product, TaxCategory

NO_TAX = "A category that is zero rated, exempt or outside the scope of tax has the rate 0."


class RuleForm(forms.Form):
    """A target margin and what it is for; whatever is left open fits everything."""

    name = forms.CharField(
        label="Name",
        max_length=120,
        required=False,
        help_text="How an estimate names the rule. Leave it empty and it is named for what it fits.",
    )
    product = forms.ModelChoiceField(
        label="Only for the product",
        queryset=Product.objects.none(),
        required=False,
        empty_label="any product",
    )
    category = forms.ChoiceField(label="Only for the category", required=False)
    customer_kind = forms.ChoiceField(label="Only for these customers", required=False)
    from_units = WholeField(
        what="the number of units",
        least=0,
        most=1_000_000,
        label="From how many units",
        required=False,
        example="60",
        help_text="All lines of the order that the rule fits count together. Empty: any number.",
    )
    margin = PercentField(
        what="the margin",
        most=99,
        label="Margin",
        unit="percent of the net price",
        example="58",
        help_text="Share of the price that is left after cost. 50 doubles the cost.",
    )
    minimum = MoneyField(what="the least price", label="But at least, a unit", required=False, example="4.00")

    def __init__(
        self, *args: Any, kitchen: Kitchen, categories: list[str], rule: PriceRule | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency, charged=("minimum",))
        products = Product.objects.filter(active=True)
        if rule and rule.product_id:
            products = products | Product.objects.filter(pk=rule.product_id)
        self.fields["product"].queryset = products  # type: ignore[attr-defined]  # a model choice field
        kept_category, kept_kind = (rule.category, rule.customer_kind) if rule else ("", "")
        self._choices(
            "category", [("", "any category"), *kept_too([(name, name) for name in categories], kept_category)]
        )
        self._choices("customer_kind", [("", "any customer"), *kept_too(CUSTOMER_KINDS, kept_kind)])

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        product, category = data.get("product"), data.get("category")
        if product and category and product.category != category:
            self.add_error(
                "category",
                f"{product} is in the category {product.category}: a rule for both would fit nothing. Leave one open.",
            )
        return data


class TaxCategoryForm(forms.Form):
    """Goods or services taxed alike."""

    name = name_field("Name", "Name the category, such as Prepared food.")
    untdid = forms.ChoiceField(
        label="On invoices",
        choices=TaxCategory.Untdid.choices,
        help_text="The letter is what electronic invoices call it (list UNTDID 5305). Ask your accountant when unsure.",
    )
    exempt_reason = forms.CharField(
        label="Why no tax",
        max_length=200,
        required=False,
        help_text="Stands on invoices. Needed when the category is exempt or outside the scope of tax.",
    )

    def __init__(self, *args: Any, taxed: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.taxed = taxed

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        kind = data.get("untdid")
        if kind in (TaxCategory.Untdid.EXEMPT, TaxCategory.Untdid.OUTSIDE) and not data.get("exempt_reason"):
            self.add_error("exempt_reason", "Enter why no tax is due: the invoice has to say it.")
        if kind and kind != TaxCategory.Untdid.STANDARD and self.taxed:
            self.add_error("untdid", f"{NO_TAX} This one has rates above 0: make a category of its own.")
        return data


class TaxRateForm(forms.Form):
    """A rate from a date on."""

    rate = PercentField(what="the rate", most=100, label="Rate", unit="percent", example="8.25")
    starts = DayField(what="the first day", label="In force from")

    def __init__(
        self, *args: Any, begun: frozenset[date] = frozenset(), untdid: str = TaxCategory.Untdid.STANDARD, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.begun, self.untdid = begun, untdid

    def clean_starts(self) -> date:
        """A day has one rate."""
        starts: date = self.cleaned_data["starts"]
        if starts in self.begun:
            raise forms.ValidationError("There is a rate from this day on already. Choose another day.")
        return starts

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("rate") and self.untdid != TaxCategory.Untdid.STANDARD:
            self.add_error("rate", NO_TAX)
        return data
