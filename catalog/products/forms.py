"""The product editor's forms: its fields, fills, packaging and steps."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.products.choices import Choice, ProductChoices
from catalog.products.models import Product
from catalog.products.plan_forms import PlanFields, places_taken, plan_initial
from catalog.products.services import ProductData, ProductFields
from catalog.products.step_forms import ProductStepSet, product_step_initial
from catalog.recipes.choices import Choices
from catalog.records.money import money_of
from catalog.web.editor import EditorForms
from catalog.web.fields import PercentField, WholeField
from catalog.web.measure_fields import (
    ExactText,
    MeasureField,
    PickField,
    SpanField,
    WordsField,
    degrees_shown,
    measure_read,
)
from catalog.web.money_fields import MoneyField
from catalog.web.near_forms import AsksNear
from catalog.web.row_forms import RowSet
from catalog.web.unit_fields import LengthField
from costing.chilling.profiles import HOT_C
from costing.measures.measure import MeasureError, parse_measure

_COOLING = ("stands_on", "covered", "carried", "cooling_rule")
_HOT = Decimal(str(round(HOT_C, 6)))


class ProductForm(AsksNear, PlanFields):
    """A product's own fields."""

    name = WordsField(
        what=_("the name"),
        most=500,
        label=_("Name"),
        error_messages={"required": _("Enter a name, such as Plum square, 5 cm.")},
    )
    description = WordsField(
        what=_("the description"),
        most=2000,
        label=_("Description"),
        required=False,
        help_text=_("A sentence for the customer, printed on the quote."),
        widget=forms.Textarea(attrs={"rows": 2, "cols": 50}),
    )
    category = WordsField(
        what=_("the category"),
        most=200,
        label=_("Category"),
        help_text=_("Price rules can be made for a category, such as tarts or portions."),
        widget=forms.TextInput(attrs={"list": "categories", "autocomplete": "off"}),
        error_messages={"required": _("Enter a category, such as tarts.")},
    )
    servings = WholeField(
        what=_("the servings"),
        label=_("Servings"),
        least=1,
        most=10_000,
        initial=1,
        help_text=_("People one unit serves."),
    )
    sale_multiple = WholeField(
        what=_("the sale multiple"),
        label=_("Sold in multiples of"),
        least=1,
        most=10_000,
        initial=1,
        help_text=_("12 if it is sold by the dozen only."),
    )
    spare = PercentField(
        what=_("the spares"),
        label=_("Spares, %"),
        most=200,
        required=False,
        example="5",
        help_text=_("Made in addition, in case some break."),
    )
    mold = PickField(what=_("the mold"), label=_("Mold"), required=False)
    fill_height_cm = LengthField(
        what=_("the fill height"), above=0, required=False, label=_("Fill height"), examples=("2", "4")
    )
    load = WholeField(
        what=_("the batch"),
        label=_("Units per load"),
        least=1,
        most=1_000_000,
        required=False,
        help_text=_("Units in one oven load. Empty: as many as you own of the mold."),
    )
    list_price = MoneyField(
        what=_("the list price"),
        label=_("List price"),
        required=False,
        example="48.00",
        help_text=_("Empty: the price rule decides."),
    )
    tax = PickField(
        what=_("the tax category"), label=_("Tax"), error_messages={"required": _("Choose the tax category.")}
    )
    keeps = SpanField(
        what=_("the keeping time"),
        bare=60,
        label=_("Keeps cold for"),
        help_text=_("Once ready, such as 3 days or 36 h. Follow your local code."),
    )
    holding = WordsField(
        what=_("holding and serving"),
        most=4000,
        label=_("Holding and serving"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "cols": 50}),
    )
    stands_on = PickField(
        what=_("the surface under it"),
        label=_("Stands on while it cools"),
        choices=Product.StandsOn.choices,
        initial=Product.StandsOn.OPEN.value,
    )
    covered = forms.BooleanField(label=_("Covered while it cools"), required=False)
    carried = PickField(
        what=_("the packing"),
        label=_("Packed for transport in"),
        choices=Product.Carried.choices,
        initial=Product.Carried.CARTON.value,
    )
    cooling_rule = PickField(
        what=_("the cooling rule"),
        label=_("Judge cooling"),
        choices=Product.CoolingRule.choices,
        required=False,
    )
    active = forms.BooleanField(label=_("In use"), required=False, initial=True)

    def __init__(self, data: Any = None, *, choices: ProductChoices, product: Product | None = None) -> None:
        super().__init__(data, initial=_initial(product, choices.currency) if product else None)
        own = [name for name in self.fields if name not in PlanFields.base_fields]
        after = own.index("load") + 1
        self.order_fields([*own[:after], *PlanFields.base_fields, *own[after:]])
        self.fields["list_price"].use_currency(choices.currency, charged=True)  # type: ignore[attr-defined]  # a MoneyField,
        PickField.set_choices(self, "mold", [("", gettext("no mold")), *choices.molds])
        self.fields["cooling_rule"].help_text = _judged(choices.steps.degrees)
        PickField.set_choices(
            self, "tax", choices.taxes if len(choices.taxes) == 1 else [("", "choose"), *choices.taxes]
        )

    @property
    def cooling_entered(self) -> bool:
        """Whether how it cools differs from how an editor begins, or is wrong."""
        return self._entered(*_COOLING)

    @property
    def cooling_wrong(self) -> bool:
        """Whether something of how it cools is wrong."""
        return self._wrong(*_COOLING)

    def product_fields(self) -> ProductFields:
        """Return the fields as the service takes them; call it on a clean form."""
        found = dict(self.cleaned_data)
        places = places_taken(found)
        keeps, price, mold = found.pop("keeps"), found.pop("list_price"), found.pop("mold")
        return ProductFields(
            **_plain(found),
            tax_id=int(found["tax"]),
            mold_id=int(mold) if mold else None,
            keeps_hours=None if keeps is None else round(keeps / 60, 4),
            list_price=None if price is None else price.amount,
            load_places=places,
        )


def _judged(degrees: str) -> str:
    """Write from which temperature it counts as cooked food: the US Food Code's 135 °F."""
    sentence = gettext(
        "The US Food Code has one rule for cooked food and one for food made from ingredients at room temperature."
        " “As its steps say”: cooked where it leaves a step that bakes or cooks, or leaves at %(hot)s or hotter. Other"
        " places' rules make no difference."
    )
    return sentence % {"hot": f"{degrees_shown(_HOT, degrees)} °{degrees}"}


def _plain(found: dict[str, Any]) -> dict[str, Any]:
    plain = {name: value for name, value in found.items() if name not in {"tax", "another"}}
    return plain | {"spare": plain["spare"] or Decimal(0)}


def _initial(product: Product, currency: str) -> dict[str, Any]:
    hours, price = product.keeps_hours, product.list_price
    names = ("name", "description", "category", "servings", "sale_multiple", "load", "holding", "active", *_COOLING)
    return {name: getattr(product, name) for name in names} | {
        "spare": product.spare or None,
        "mold": str(product.mold_id or ""),
        "fill_height_cm": product.fill_height_cm,
        "tax": str(product.tax_id),
        "keeps": None if hours is None else hours * 60,
        "list_price": None if price is None else money_of(price, currency),
        **plan_initial(product),
    }


def _named(choice: Choice) -> tuple[str, str]:
    return choice.value, choice.name if choice.active else gettext("%(name)s (archived)") % {"name": choice.name}


class FillForm(forms.Form):
    """How much of a recipe goes into one unit."""

    recipe = PickField(
        what=_("the recipe"), label=_("Recipe"), error_messages={"required": _("Choose a recipe, or remove the row.")}
    )
    amount = MeasureField(what=_("the amount for one unit"), mass=True, label=_("Amount per unit"))

    def __init__(self, *args: Any, choices: ProductChoices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        PickField.set_choices(self, "recipe", [("", gettext("choose")), *map(_named, choices.recipes)])


class FillSet(RowSet[FillForm]):
    """All fills, in order."""

    form = FillForm
    row_word = _("Fill")


class _CountField(ExactText, WordsField):
    """A count, which has no unit, or a measure."""


class PackagingForm(forms.Form):
    """What is packed with one unit."""

    ingredient = PickField(
        what=_("the packaging"),
        label=_("Packaging"),
        error_messages={"required": _("Choose the packaging, or remove the row.")},
    )
    amount = _CountField(
        what=_("the count per unit"),
        most=120,
        label=_("Count per unit"),
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "short"}),
        error_messages={"required": _("Enter the count per unit, such as 1 or 1/12.")},
    )

    def __init__(self, *args: Any, choices: ProductChoices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choices = choices
        PickField.set_choices(self, "ingredient", [("", gettext("choose")), *map(_named, choices.packaging)])

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        good = self.choices.goods.get(found.get("ingredient") or "")
        if good is None or not found.get("amount"):
            return found
        text = found["amount"]
        counted = good.base == "each"
        try:
            # A number without a unit is a count.
            bare = counted and not any(character.isalpha() for character in text)
            exact = measure_read(text + " each" if bare else text)
            if counted and parse_measure(exact).kind != "count":
                sentence = gettext("%(name)s is only counted. Enter a count, such as 1 or 1/12.")
                raise ValidationError(sentence % {"name": good.name})
            good.amount_of(parse_measure(exact), self.choices.cup)
            found["amount"] = exact
        except ValidationError as error:
            self.add_error("amount", error)
        except MeasureError:
            sentence = gettext("%(name)s cannot be weighed that way. Enter grams.")
            self.add_error("amount", sentence % {"name": good.name})
        return found


class PackagingSet(RowSet[PackagingForm]):
    """All packaging, in order."""

    form = PackagingForm
    row_word = _("Packaging")


class ProductForms(EditorForms[ProductForm]):
    """All forms of the product editor."""

    def __init__(self, *, choices: ProductChoices, data: Any = None, product: Product | None = None) -> None:
        self.product, self.choices, self.bound = product, choices, data is not None
        fills, packaging, steps = _rows(product) if product else ([], [], [])
        kwargs = {"choices": choices}
        self.form = ProductForm(data, choices=choices, product=product)
        if product is not None:
            self.form.never_near()
        self.fills = FillSet(data, prefix="fills", rows=fills, form_kwargs=kwargs)
        self.packaging = PackagingSet(data, prefix="packaging", rows=packaging, form_kwargs=kwargs)
        labels = {
            "choices": choices.steps,
            "fixed": gettext("per load"),
            "each": gettext("per unit"),
            "fills": self._components(),
        }
        self.steps = ProductStepSet(data, prefix="steps", rows=steps, form_kwargs=labels)
        self.row_sets = {"fills": self.fills, "packaging": self.packaging, "steps": self.steps}

    def _components(self) -> Choices:
        """Return code and name of the recipes in the fill, as they are written now."""
        if self.bound:
            chosen = {str(form["recipe"].value() or "") for form in self.fills.forms}
        else:
            chosen = {row["recipe"] for row in self.fills.saved_rows}
        return [(each.code, each.name) for each in self.choices.recipes if each.value in chosen]

    def is_valid(self) -> bool:
        """Check everything."""
        sound = [super().is_valid()]
        if not self.fills.filled and self.fills.is_valid():
            self.form.add_error(None, gettext("Add at least one recipe, and how much of it goes into one unit."))
            sound.append(False)
        sound.append(self._mold_sound())
        if self.product is None:
            self.form.ask_near(Product, page="product")
        return all(sound) and not self.form.errors

    def _mold_sound(self) -> bool:
        """Check that the step that sets the mold free has one to free, which does not leave with the customer."""
        freeing, found = self.steps.freeing, getattr(self.form, "cleaned_data", {})
        if not freeing or "mold" in self.form.errors:
            return True
        if not found.get("mold"):
            sentence = gettext("Choose the mold under “Mold and load”, or clear this check mark.")
            freeing[0].add_error("frees_mold", sentence)
        elif found.get("mold_leaves"):
            sentence = gettext(
                "The mold leaves with the customer, so no step sets it free. Clear one of the two check marks."
            )
            freeing[0].add_error("frees_mold", sentence)
        return not freeing[0].errors

    def mold(self) -> tuple[int | None, Fraction | None]:
        """Return the chosen mold and fill height, if they can be read."""
        if not self.bound:
            height = self.product.fill_height_cm if self.product else None
            return self.product.mold_id if self.product else None, None if height is None else Fraction(height)
        self.form.is_valid()
        found = self.form.cleaned_data
        height = found.get("fill_height_cm")
        return int(found.get("mold") or 0) or None, None if height is None else Fraction(height)

    def written(self) -> tuple[list[tuple[int, str]], list[tuple[int, str]]]:
        """Return the fills and the packaging that can be read."""
        if not self.bound and self.product:
            saved = [(fill.recipe_id, fill.amount) for fill in self.product.fills.all()]
            return saved, [(row.ingredient_id, row.amount) for row in self.product.packaging.all()]
        fills = [(int(f["recipe"]), f["amount"]) for f in _sound(self.fills)]
        return fills, [(int(f["ingredient"]), f["amount"]) for f in _sound(self.packaging)]

    def product_data(self) -> ProductData:
        """Return the product as the service takes it; call it when all is valid."""
        fills, packaging = self.written()
        steps = tuple(form.draft() for form in self.steps.filled)
        return ProductData(self.form.product_fields(), tuple(fills), tuple(packaging), steps)


def _sound(rows: RowSet[Any]) -> list[dict[str, Any]]:
    return [form.cleaned_data for form in rows.filled if not form.errors and form.cleaned_data]


def _rows(product: Product) -> tuple[list[dict[str, Any]], list[dict[str, Any]], list[dict[str, Any]]]:
    return (
        [{"recipe": str(fill.recipe_id), "amount": fill.amount} for fill in product.fills.all()],
        [{"ingredient": str(row.ingredient_id), "amount": row.amount} for row in product.packaging.all()],
        [product_step_initial(step) for step in product.steps.all()],
    )
