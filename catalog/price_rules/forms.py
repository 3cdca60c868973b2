"""The form of a price rule."""

from typing import Any

from django import forms

from catalog.kitchen.models import Kitchen
from catalog.price_rules.customer_kinds import CUSTOMER_KINDS
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.web.choices import choices_with
from catalog.web.fields import PercentField, WholeField
from catalog.web.money_fields import MoneyField, in_currency


class PriceRuleForm(forms.Form):
    """A target margin and what it applies to; an empty condition matches everything."""

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
        saved_category, saved_kind = (rule.category, rule.customer_kind) if rule else ("", "")
        self._choices(
            "category", [("", "any category"), *choices_with([(name, name) for name in categories], saved_category)]
        )
        self._choices("customer_kind", [("", "any customer"), *choices_with(CUSTOMER_KINDS, saved_kind)])

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
