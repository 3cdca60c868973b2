"""The product editor's forms: its fields, fills, packaging and steps."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.products.choices import Choice, ProductChoices
from catalog.products.models import Product
from catalog.products.services import ProductData, ProductFields
from catalog.products.step_forms import ProductStepSet, product_step_initial
from catalog.recipes.choices import Choices
from catalog.records.money import money_of
from catalog.web.editor import EditorForms
from catalog.web.fields import PercentField, WholeField
from catalog.web.measure_fields import (
    LengthField,
    MeasureField,
    PickField,
    SpanField,
    WordsField,
    degrees_shown,
    measure_read,
)
from catalog.web.money_fields import MoneyField
from catalog.web.row_forms import RowSet
from costing.chilling.profiles import HOT_C
from costing.measures.measure import MeasureError, parse_measure

_COOLING = ("stands_on", "covered", "carried", "cooling_rule")
_HOT = Decimal(str(round(HOT_C, 6)))


class ProductForm(forms.Form):
    """A product's own fields."""

    name = WordsField(
        what="the name", most=500, label="Name", error_messages={"required": "Enter a name, such as Plum square, 5 cm."}
    )
    description = WordsField(
        what="what the customer reads",
        most=2000,
        label="What the customer reads",
        required=False,
        help_text="A sentence, as it stands in the quote.",
        widget=forms.Textarea(attrs={"rows": 2, "cols": 50}),
    )
    category = WordsField(
        what="the category",
        most=200,
        label="Category",
        help_text="Price rules can be made for a category, such as tarts or portions.",
        widget=forms.TextInput(attrs={"list": "categories", "autocomplete": "off"}),
        error_messages={"required": "Enter a category, such as tarts."},
    )
    servings = WholeField(
        what="how many one unit serves", label="Serves", least=1, most=10_000, initial=1, help_text="People to one."
    )
    sale_multiple = WholeField(
        what="the sale multiple",
        label="Sold in multiples of",
        least=1,
        most=10_000,
        initial=1,
        help_text="12 if only dozens are sold.",
    )
    spare = PercentField(
        what="the spares",
        label="Spares, %",
        most=200,
        required=False,
        example="5",
        help_text="Made extra against breakage.",
    )
    mold = PickField(what="the mould", label="Made in", required=False)
    fill_height_cm = LengthField(
        what="the fill height", above=0, required=False, label="Filled to", examples=("2", "4")
    )
    load = WholeField(
        what="how many at once",
        label="Made at once",
        least=1,
        most=1_000_000,
        required=False,
        help_text="Units to an oven load. Left empty: as many as you own of the mould.",
    )
    list_price = MoneyField(
        what="the list price",
        label="List price",
        required=False,
        example="48.00",
        help_text="Left empty: the price rule decides.",
    )
    tax = PickField(what="how it is taxed", label="Tax", error_messages={"required": "Choose how it is taxed."})
    keeps = SpanField(
        what="the keeping time",
        bare=60,
        label="Keeps in the cold",
        help_text="Once ready, such as 3 days or 36 h. Follow your local code.",
    )
    holding = WordsField(
        what="how to hold it",
        most=4000,
        label="How to hold and serve it",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "cols": 50}),
    )
    stands_on = PickField(
        what="what it stands on", label="While it cools it stands on", choices=Product.StandsOn.choices
    )
    covered = forms.BooleanField(label="It is covered while it cools", required=False)
    carried = PickField(
        what="how it is carried",
        label="Out of the cold it is carried and set up",
        choices=Product.Carried.choices,
        initial=Product.Carried.CARTON.value,
    )
    cooling_rule = PickField(
        what="how its cooling is judged",
        label="Its cooling is judged",
        choices=Product.CoolingRule.choices,
        required=False,
    )
    active = forms.BooleanField(label="Sold", required=False, initial=True)

    def __init__(self, data: Any = None, *, choices: ProductChoices, product: Product | None = None) -> None:
        super().__init__(data, initial=_initial(product, choices.currency) if product else None)
        self.fields["list_price"].use_currency(choices.currency, charged=True)  # type: ignore[attr-defined]  # a MoneyField
        PickField.set_choices(self, "mold", [("", "no mould"), *choices.molds])
        self.fields["cooling_rule"].help_text = _judged(choices.steps.degrees)
        PickField.set_choices(
            self, "tax", choices.taxes if len(choices.taxes) == 1 else [("", "choose"), *choices.taxes]
        )

    def product_fields(self) -> ProductFields:
        """Return the fields as the service takes them; call it on a clean form."""
        found = dict(self.cleaned_data)
        keeps, price, mold = found.pop("keeps"), found.pop("list_price"), found.pop("mold")
        return ProductFields(
            **_plain(found),
            tax_id=int(found["tax"]),
            mold_id=int(mold) if mold else None,
            keeps_hours=None if keeps is None else round(keeps / 60, 4),
            list_price=None if price is None else price.amount,
        )


def _judged(degrees: str) -> str:
    """Write from which temperature it counts as cooked food: the US Food Code's 135 °F."""
    hot = f"{degrees_shown(_HOT, degrees)} °{degrees}"
    return (
        "The United States Food Code has one rule for cooked food and one for food made from ingredients at room"
        f" temperature. As its steps say: cooked when it leaves a step that bakes or cooks, or at {hot} or hotter."
        " Other places' rules make no difference."
    )


def _plain(found: dict[str, Any]) -> dict[str, Any]:
    plain = {name: value for name, value in found.items() if name != "tax"}
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
    }


def _named(choice: Choice) -> tuple[str, str]:
    return choice.value, choice.name if choice.active else f"{choice.name} (set aside)"


class FillForm(forms.Form):
    """How much of a recipe goes into one unit."""

    recipe = PickField(
        what="the recipe", label="Recipe", error_messages={"required": "Choose a recipe, or take the row out."}
    )
    amount = MeasureField(what="how much goes into one unit", mass=True, label="Into one unit")

    def __init__(self, *args: Any, choices: ProductChoices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        PickField.set_choices(self, "recipe", [("", "choose"), *map(_named, choices.recipes)])


class FillSet(RowSet[FillForm]):
    """All fills, in order."""

    form = FillForm
    row_word = "Fill"


class PackagingForm(forms.Form):
    """What is packed with one unit."""

    ingredient = PickField(
        what="what it is packed in",
        label="Packaging",
        error_messages={"required": "Choose what it is packed in, or take the row out."},
    )
    amount = WordsField(
        what="how many for one unit",
        most=120,
        label="For one unit",
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "short"}),
        error_messages={"required": "Write how many for one unit, such as 1 or 1/12."},
    )

    def __init__(self, *args: Any, choices: ProductChoices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choices = choices
        PickField.set_choices(self, "ingredient", [("", "choose"), *map(_named, choices.packaging)])

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
            exact = measure_read(f"{text} each" if bare else text)
            if counted and parse_measure(exact).kind != "count":
                raise ValidationError(f"{good.name} is only counted. Write how many, such as 1 or 1/12.")
            good.amount_of(parse_measure(exact), self.choices.cup)
            found["amount"] = exact
        except ValidationError as error:
            self.add_error("amount", error)
        except MeasureError:
            self.add_error("amount", f"{good.name} cannot be weighed that way. Write grams.")
        return found


class PackagingSet(RowSet[PackagingForm]):
    """All packaging, in order."""

    form = PackagingForm
    row_word = "Packaging"


class ProductForms(EditorForms[ProductForm]):
    """All forms of the product editor."""

    def __init__(self, *, choices: ProductChoices, data: Any = None, product: Product | None = None) -> None:
        self.product, self.choices, self.bound = product, choices, data is not None
        fills, packaging, steps = _rows(product) if product else ([], [], [])
        kwargs = {"choices": choices}
        self.form = ProductForm(data, choices=choices, product=product)
        self.fills = FillSet(data, prefix="fills", rows=fills, form_kwargs=kwargs)
        self.packaging = PackagingSet(data, prefix="packaging", rows=packaging, form_kwargs=kwargs)
        labels = {"choices": choices.steps, "fixed": "per load", "each": "per unit", "fills": self._components()}
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
            self.form.add_error(None, "Say what it is made of: at least one recipe and how much of it.")
            sound.append(False)
        return all(sound)

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
