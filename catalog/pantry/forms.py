"""Forms of ingredients, packs and suppliers."""

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import model_to_dict
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.pantry.allergen_forms import AllergenForm
from catalog.pantry.common import commonly_same, foods_for
from catalog.pantry.composition_forms import CompositionForm
from catalog.pantry.food_table import density_of_cup, foods
from catalog.pantry.free_by import same_name
from catalog.pantry.models import Ingredient, Supplier
from catalog.pantry.price_slips import is_leap, price_in_force
from catalog.pantry.selectors import recipes_with
from catalog.records.numbers import MOST_GRAMS, MOST_PRICE
from catalog.web.display import amount
from catalog.web.fields import ENTER, DayField, NumberField, PercentField
from catalog.web.measure_fields import ExactText, PickField, measure_input
from catalog.web.money_fields import PackPriceField
from catalog.web.near_forms import AsksNear
from catalog.web.numbers import written_here
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.spelling import normalise_pack

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

_NDB = re.compile(r"\d{1,6}", re.ASCII)


class PackSizeField(ExactText):
    """A pack's size in free spelling, converted to the exact grammar; ``kinds`` are the allowed kinds of measure."""

    def __init__(
        self, *, what: "StrOrPromise", kinds: frozenset[str] = frozenset({"mass", "volume", "count"}), **kwargs: Any
    ) -> None:
        self.what, self.kinds = what, kinds
        #: Whether a bare number is so many pieces, as where nothing but a count is allowed.
        self.counted = False
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)
        self.error_messages["required"] = format_lazy(ENTER, what=what)

    def to_python(self, value: Any) -> str:
        text = str(super().to_python(value) or "")
        if not text:
            return ""
        try:
            measure = normalise_pack(text, counted=self.counted or self.kinds == {"count"}, written=written_here())
        except MeasureError as error:
            raise ValidationError(error.on_screen(), code="bad_measure") from None
        if parse_measure(measure).kind not in self.kinds:
            sentence = gettext("Write %(what)s as %(kinds)s.")
            raise ValidationError(sentence % {"what": self.what, "kinds": _kind_words(self.kinds)}, code="bad_measure")
        if parse_measure(measure).in_base() > MOST_GRAMS:
            sentence = gettext("“%(size)s” is more than any supplier packs. Check the size.")
            raise ValidationError(sentence % {"size": measure_input(measure)}, code="too_large")
        return measure


def _kind_words(kinds: frozenset[str]) -> str:
    if kinds == {"count"}:
        return gettext("a count, such as 50 each")
    return gettext("a weight, such as 5 lb, a volume, such as 1 quart, or a count, such as 50 each")


class IngredientForm(AsksNear):
    """An ingredient without its packs and parts."""

    name = forms.CharField(
        max_length=120, label=_("Name"), error_messages={"required": _("Enter the ingredient's name.")}
    )
    base = forms.ChoiceField(choices=Ingredient.Base.choices, label=_("Measured by"), initial="g")
    density = NumberField(
        what=_("the density"),
        above=0,
        most=20,
        required=False,
        label=_("Density"),
        example="0.845",
        help_text=_("Grams in one milliliter. Needed for cups, spoons and quarts. Or fill in the next field instead."),
    )
    cup_grams = NumberField(
        what=_("the weight of a cup"),
        above=0,
        most=5000,
        required=False,
        label=_("Weight of a US cup"),
        example="200",
        help_text=_("In grams. The density is computed from it when that is empty."),
    )
    grams_each = NumberField(
        what=_("the weight of one piece"),
        above=0,
        most=100000,
        required=False,
        label=_("Piece weight"),
        example="57",
        help_text=_("In grams, as purchased. Needed for counts: eggs, lemons, sheets."),
    )
    yield_share = PercentField(
        what=_("the yield"),
        above=0,
        least=None,
        most=100,
        required=False,
        label=_("Yield"),
        example="88",
        help_text=_("Percent that is ready to use after peeling, coring or draining: 100 when nothing is lost."),
    )
    charge = forms.ChoiceField(choices=Ingredient.Charge.choices, label=_("Charge orders for"), initial="used")
    source = forms.CharField(max_length=200, required=False, label=_("Source of these figures"))
    ndb = forms.CharField(max_length=6, required=False, label=_("USDA food entry"), widget=forms.HiddenInput)
    note = forms.CharField(required=False, max_length=2000, label=_("Note"), widget=forms.Textarea(attrs={"rows": 2}))
    active = forms.BooleanField(required=False, initial=True, label=_("In use"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        cup = data.pop("cup_grams", None)
        if cup is not None and data.get("density") is None and "density" not in self.errors:
            data["density"] = density_of_cup(cup)
        if data.get("yield_share") is None:
            data["yield_share"] = Decimal(1)
        return data


class PartForm(forms.Form):
    """A named part: juice, zest, yolk, white."""

    code = forms.CharField(max_length=80, required=False, label=_("Part"))
    share = PercentField(
        what=_("the part's share"), above=0, least=None, most=100, required=False, label=_("Share of the whole")
    )
    density = NumberField(what=_("the part's density"), above=0, most=20, required=False, label=_("Density"))
    grams_each = NumberField(what=_("the weight of one"), above=0, most=100000, required=False, label=_("Piece weight"))
    joint = forms.CharField(max_length=80, required=False, label=_("From the same piece as"))
    ndb = PickField(what=_("the part’s USDA food entry"), required=False, label=_("USDA food entry"))

    def __init__(self, *args: Any, whole: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        code, chosen = (str(self[name].value() or "").replace("\x00", "")[:80] for name in ("code", "ndb"))
        PickField.set_choices(self, "ndb", [("", gettext("as the whole")), *_rows(f"{whole} {code}", chosen)])

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("code") and data.get("share") is None and "share" not in self.errors:
            sentence = gettext("Enter the percentage of the whole that %(part)s is.")
            self.add_error("share", sentence % {"part": data["code"]})
        filled = data.get("ndb") or any(data.get(key) is not None for key in ("share", "density", "grams_each"))
        if filled and not data.get("code") and "code" not in self.errors:
            self.add_error("code", gettext("Enter the part's name, such as juice."))
        return data


def _rows(name: str, chosen: str) -> list[tuple[str, str]]:
    """Return the table's rows for a part, best first, with the chosen one among them."""
    found = {food.ndb: food.name for food in foods_for(name, most=8)}
    if chosen and chosen not in found and _NDB.fullmatch(chosen):
        food = foods().get(chosen)
        found[chosen] = food.name if food else gettext("%(row)s, which is not in this table") % {"row": chosen}
    return list(found.items())


class BasePartFormSet(forms.BaseFormSet[PartForm]):
    """Parts, each with a unique code."""

    row_word = _("Part")

    def clean(self) -> None:
        seen: set[str] = set()
        for form in self.forms:
            code = getattr(form, "cleaned_data", {}).get("code", "")
            if code and code in seen:
                form.add_error("code", gettext("%(part)s is listed twice. Remove one of the rows.") % {"part": code})
            seen.add(code)


PartFormSet = forms.formset_factory(
    PartForm, formset=BasePartFormSet, extra=2, max_num=12, absolute_max=12, validate_max=True
)


class AsksLeap(forms.Form):
    """A form with a price that asks once whether one far from the price before is right."""

    sure = forms.BooleanField(required=False, label=_("The price is right"))
    #: Whether the question is shown.
    asks_sure = False

    def ask_leap(self, before: Decimal | None) -> None:
        """Refuse a price that is far from the one before, unless somebody says that it is right."""
        found = self.cleaned_data.get("price")
        if found is None or before is None or not is_leap(before, found.amount):
            return
        self.asks_sure = True
        if not self.cleaned_data.get("sure"):
            words = gettext(
                "%(price)s instead of %(before)s: is that right? Correct it, or check “The price is right”."
            )
            values = {"price": amount(found.amount), "before": amount(before)}
            self.add_error("price", ValidationError(words % values, code="leap"))


class PackForm(AsksLeap):
    """A pack and its price from a day on."""

    size = PackSizeField(
        what=_("the pack's size"), label=_("Pack"), help_text=_("Such as 25 lb, 1/2 gallon, 15 dozen.")
    )
    price = PackPriceField(what=_("the price"), most=MOST_PRICE, label=_("Price"), example="24.60")
    supplier = forms.CharField(
        max_length=80, required=False, label=_("Supplier"), widget=forms.TextInput(attrs={"list": "suppliers"})
    )
    starts = DayField(what=_("the first day of this price"), label=_("From"))
    preferred = forms.BooleanField(
        required=False,
        label=_("Preferred pack"),
        help_text=_("Where orders are charged for the amount used, its price counts before cheaper ones."),
    )

    label_read = forms.BooleanField(
        required=False,
        label=_("From a new supplier or maker: I have read its label, and every answer “free” holds"),
        help_text=_("Unchecked, its “free” answers become “not checked” when it is from somebody new."),
    )
    other_maker = forms.BooleanField(required=False, label=_("It is made by somebody else than before"))
    instead = forms.BooleanField(required=False, label=_("Replace the price of that day"))
    #: Whether it has answers "free" that another good takes back.
    asks_label = False
    #: Whether a price of the same day can be replaced.
    asks_instead = False

    def __init__(
        self, *args: Any, base: str, kitchen: Kitchen, ingredient_id: int | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.ingredient_id = ingredient_id
        self.fields["starts"].month_first = kitchen.country == "US"  # type: ignore[attr-defined]  # a DayField
        self.fields["price"].label = gettext("Price, %(currency)s") % {"currency": kitchen.currency}
        self.fields["price"].use_currency(kitchen.currency, charged=False)  # type: ignore[attr-defined]  # a MoneyField
        if base == Ingredient.Base.EACH:
            self.fields["size"].kinds = frozenset({"count"})  # type: ignore[attr-defined]  # a PackSizeField

    def clean(self) -> dict[str, Any]:
        """Ask about a price far from the same supplier's before."""
        data = super().clean() or {}
        if self.ingredient_id is not None and data.get("size") and data.get("starts"):
            day, supplier = data["starts"], data.get("supplier", "")
            self.ask_leap(
                price_in_force(ingredient_id=self.ingredient_id, size=data["size"], supplier=supplier, day=day)
            )
        return data


class PackPriceForm(AsksLeap):
    """The price of a pack that is on record, corrected; ``before`` is the one on record."""

    price = PackPriceField(what=_("the price"), most=MOST_PRICE, label=_("Price"), example="24.60")

    def __init__(self, *args: Any, currency: str, before: Decimal | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.before = before
        self.fields["price"].label = gettext("Price, %(currency)s") % {"currency": currency}
        self.fields["price"].use_currency(currency, charged=False)  # type: ignore[attr-defined]  # a MoneyField
        self.fields["price"].widget.attrs["autofocus"] = True

    def clean(self) -> dict[str, Any]:
        """Ask about a price far from the one on record."""
        data = super().clean() or {}
        self.ask_leap(self.before)
        return data


class SupplierForm(forms.Form):
    """A supplier."""

    name = forms.CharField(max_length=80, label=_("Name"), error_messages={"required": _("Enter the supplier's name.")})
    note = forms.CharField(required=False, max_length=2000, label=_("Note"), widget=forms.Textarea(attrs={"rows": 3}))
    same_business = forms.BooleanField(
        required=False,
        label=_("It is the same business under another name"),
        help_text=_("Another business is another supplier: what it sells has labels of its own."),
    )
    #: Whether it has another name than before, and nobody stated that it is the same business.
    asks_same = False

    def __init__(self, *args: Any, supplier: Supplier | None = None, **kwargs: Any) -> None:
        self.supplier = supplier
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        """Ask whether a supplier that sold something and gets another name is the same business."""
        data = super().clean() or {}
        before, same = self.supplier, data.pop("same_business", False)
        name = data.get("name", "")
        if before is not None and name and not same_name(before.name, name) and before.packs.exists():
            self.asks_same = True
            if not same:
                words = gettext(
                    "It was called %(before)s. State that it is the same business, or add another supplier."
                )
                raise ValidationError(words % {"before": before.name}, code="same_business")
        return data

    def clean_name(self) -> str:
        name = " ".join(str(self.cleaned_data["name"]).split())
        same = Supplier.objects.filter(name__iexact=name)
        if self.supplier is not None:
            same = same.exclude(pk=self.supplier.pk)
        if same.exists():
            raise ValidationError(gettext("There is a supplier %(name)s already.") % {"name": name}, code="duplicate")
        return name


class IngredientForms:
    """The ingredient's own form, its composition and its parts."""

    def __init__(self, data: Any = None, *, kitchen: Kitchen, ingredient: Ingredient | None) -> None:
        initial = model_to_dict(ingredient, fields=list(IngredientForm.base_fields)) if ingredient else {}
        parts = list(ingredient.parts.values(*PartForm.base_fields)) if ingredient and data is None else None
        self.form, self.ingredient = IngredientForm(data, initial=initial), ingredient
        if ingredient is not None:
            self.form.never_near()
        self.label = _label(data, kitchen, ingredient)
        self.food = foods().get(str(self.form["ndb"].value() or ""))
        stated = ingredient.composition if ingredient else {}
        self.composition = CompositionForm(data, stated=stated, food=self.food)
        self.parts = PartFormSet(data, initial=parts, prefix="parts", form_kwargs={"whole": self.name})

    def __iter__(self) -> Iterator[Any]:
        """Return the forms in page order."""
        return iter((self.form, self.parts, self.composition, self.label))

    @property
    def name(self) -> str:
        """The name as entered."""
        return str(self.form["name"].value() or "").replace("\x00", "")[:200]

    @property
    def stated(self) -> bool:
        """Whether the kitchen states a composition, as entered."""
        return any(share.value() not in (None, "") for share in self.composition)

    def is_valid(self) -> bool:
        """Check everything."""
        # Every form, so that all that is wrong is shown at once.
        valid = all([form.is_valid() for form in self])  # noqa: C419
        self.label.check_name(self.name)
        before = self.ingredient.name if self.ingredient else ""
        self.label.ask_named(" ".join(self.name.split()), "" if same_name(before, self.name) else before)
        if named := self.label.note_named(str(self.form.cleaned_data.get("note") or "")):
            self.form.add_error("note", named)
        if self.ingredient is None:
            self.form.ask_near(Ingredient, page="ingredient", also=commonly_same(self.name))
        valid = valid and not self.form.errors
        return valid and self.label.is_valid()

    def ingredient_data(self, by: str = "") -> dict[str, Any]:
        """Return the ingredient's columns as the service takes them; call it when all is valid. ``by`` answers."""
        composition = {"composition": self.composition.composition()}
        return self.form.cleaned_data | composition | self.label.label_data(by)

    def parts_data(self) -> list[dict[str, Any]]:
        """Return the parts as the service takes them; call it when all is valid."""
        return [part.cleaned_data for part in self.parts if part.cleaned_data]


def _label(data: Any, kitchen: Kitchen, ingredient: Ingredient | None) -> AllergenForm:
    if ingredient is None:
        return AllergenForm(data, which=kitchen.allergen_list)
    return AllergenForm(
        data,
        which=kitchen.allergen_list,
        allergens=ingredient.allergens,
        answers=ingredient.allergen_answers,
        names=ingredient.allergen_names,
        named_only=ingredient.named_only,
        touches_food=ingredient.touches_food,
        recipes=recipes_with(ingredient),
    )
