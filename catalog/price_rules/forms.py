"""The form of a price rule."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Kitchen
from catalog.price_rules.customer_kinds import customer_kinds
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.web.choices import choices_with
from catalog.web.fields import PercentField, WholeField
from catalog.web.money_fields import MoneyField, in_currency


class PriceRuleForm(forms.Form):
    """A target margin and what it applies to; an empty condition matches everything."""

    name = forms.CharField(
        label=_("Name"),
        max_length=120,
        required=False,
        help_text=_("How an estimate names the rule. Leave empty to name it by what it applies to."),
    )
    product = forms.ModelChoiceField(
        label=_("Product"),
        queryset=Product.objects.none(),
        required=False,
        empty_label=_("any product"),
    )
    category = forms.ChoiceField(label=_("Category"), required=False)
    customer_kind = forms.ChoiceField(label=_("Customers"), required=False)
    from_units = WholeField(
        what=marked("the minimum quantity"),
        least=0,
        most=1_000_000,
        label=_("Minimum quantity"),
        required=False,
        example="60",
        help_text=_("All lines of the order that the rule applies to count together. Leave empty for any quantity."),
    )
    margin = PercentField(
        what=marked("the margin"),
        most=99,
        label=_("Target margin"),
        unit=marked("percent of the price before tax"),
        example="58",
        help_text=_("Share of the price that is left after cost. 50 doubles the cost."),
    )
    minimum = MoneyField(
        what=marked("the minimum price"), label=_("Minimum price per unit"), required=False, example="4.00"
    )

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
            "category",
            [("", gettext("any category")), *choices_with([(name, name) for name in categories], saved_category)],
        )
        self._choices("customer_kind", [("", gettext("any customer")), *choices_with(customer_kinds(), saved_kind)])

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        product, category = data.get("product"), data.get("category")
        if product and category and product.category != category:
            self.add_error(
                "category",
                gettext(
                    "%(product)s is in the category %(category)s: a rule for both would apply to nothing. "
                    "Leave product or category open."
                )
                % {"product": product, "category": product.category},
            )
        return data
