"""The rows of a draft's table for one-off work and rental, with what was asked of their labels."""

from collections.abc import Sequence
from typing import Any, Final

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from djmoney.money import Money

from catalog.pantry.allergens import allergen_choices, asked_of
from catalog.pantry.declarations import CONTAINS, FREE
from catalog.pantry.diets import DIET_FACTS, DIET_NAMES
from catalog.pantry.free_by import FREE_BY, source_missing
from catalog.pantry.free_by_words import QUESTION, missing_words, source_choices
from catalog.pantry.kind_words import maybe_made_with
from catalog.pantry.presenters import allergen_words
from catalog.pantry.single_foods import is_single_food
from catalog.taxes.models import TaxCategory
from catalog.web.money_fields import MoneyField
from orders.quotes.draft.dessert_table import TableExtra, named_allergens, only_named, sounds_eaten
from orders.quotes.models import QuoteExtra
from orders.records.money import from_minor, minor_units

#: Most rows of a list.
MOST_ROWS: Final = 60
#: The fields that answer for allergens; what none of them names was not checked.
_ANSWERS: Final = ("contains", "may_contain", "free_of")
#: What else some guests do not eat -> the field that asks it of an extra, as it is asked of an ingredient.
_FACTS: Final = {code: f"made_with_{code.replace('-', '_')}" for code in DIET_FACTS}
#: The most an extra may cost or be charged.
_MOST_EXTRA = 100_000_000


def charged_in(currency: str, *fields: forms.Field) -> None:
    """Let money fields read whole minor units of a currency."""
    for field in fields:
        field.use_currency(currency, charged=True)  # type: ignore[attr-defined]  # a money field


class SourceField(forms.ChoiceField):
    """How it is known what something is free of; a choice for another name counts as none."""

    def valid_value(self, value: str) -> bool:
        return True


class ExtraForm(forms.Form):
    """One-off work or rental."""

    name = forms.CharField(label=_("Item"), max_length=80, required=False)
    tax = forms.ChoiceField(
        label=_("Tax category"), required=False, error_messages={"invalid_choice": _("Choose a tax category.")}
    )
    cost = MoneyField(what=_("your cost"), label=_("Your cost"), required=False, most=_MOST_EXTRA)
    amount = MoneyField(what=_("the price"), label=_("Price"), required=False, most=_MOST_EXTRA)

    food = forms.ChoiceField(
        label=_("Allergens"),
        required=False,
        choices=[*QuoteExtra.Food.choices[:2], (QuoteExtra.Food.CHECKED, _("food, or touches food: answered below"))],
        error_messages={"invalid_choice": _("Choose whether it is food or touches food.")},
    )
    contains = forms.MultipleChoiceField(
        label=_("Contains"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": _("Choose allergens from the list.")},
    )
    may_contain = forms.MultipleChoiceField(
        label=_("May contain"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": _("Choose allergens from the list.")},
    )
    free_of = forms.MultipleChoiceField(
        label=_("Free of, by its label"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": _("Choose allergens from the list.")},
    )
    all_free = forms.BooleanField(
        required=False, label=_("I have read the label: it is free of everything not checked here")
    )
    free_by = SourceField(required=False, label=QUESTION, widget=forms.RadioSelect)
    only_named = forms.BooleanField(required=False, label=_("It only has the name: there is none of it in it"))
    not_eaten = forms.BooleanField(required=False, label=_("It is not eaten and touches no food, whatever its name is"))

    def __init__(
        self, *args: Any, taxes: Sequence[TaxCategory], currency: str, allergen_list: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.taxes, self.asked = {str(tax.pk): tax for tax in taxes}, asked_of(allergen_list)
        for name in _ANSWERS:
            choices = allergen_choices(allergen_list, self.initial.get(name) or ())
            self.fields[name].choices = choices  # type: ignore[attr-defined]  # a choice field
        for code, name in _FACTS.items():
            named = gettext(DIET_NAMES[code])
            self.fields[name] = forms.ChoiceField(
                label=f"{named[:1].upper()}{named[1:]}",
                required=False,
                choices=[("", gettext("not checked yet")), (CONTAINS, gettext("contains")), (FREE, gettext("free"))],
                error_messages={"invalid_choice": gettext("Choose contains, free or not checked yet.")},
            )
        self.fields[FREE_BY].choices = source_choices(self.item)  # type: ignore[attr-defined]  # a choice field
        self.fields["tax"].choices = [(key, str(tax)) for key, tax in self.taxes.items()]  # type: ignore[attr-defined]  # a choice field
        charged_in(currency, self.fields["cost"], self.fields["amount"])

    @property
    def facts(self) -> list[BoundField]:
        """The fields that ask for what else some guests do not eat."""
        return [self[name] for name in _FACTS.values()]

    @property
    def facts_open(self) -> bool:
        """Whether one of them is answered, or answered wrongly."""
        return any(bound.value() or bound.errors for bound in self.facts)

    @property
    def item(self) -> str:
        """The name as it stands in the row."""
        return str(self["name"].value() or "").replace("\x00", "")[:80]

    @property
    def source_asked(self) -> bool:
        """Whether it is food whose name does not say all that is in it, and something is answered "free"."""
        free = self["all_free"].value() or self["free_of"].value()
        return bool(free and self["food"].value() == QuoteExtra.Food.CHECKED and not is_single_food(self.item))

    @property
    def names(self) -> str:
        """What the name as it stands in the row names of allergens, in words; empty where it names none."""
        return allergen_words(named_allergens(self.item))

    @property
    def food_named(self) -> bool:
        """Whether the name as it stands in the row is of something to eat, and the answer is that it is no food."""
        return sounds_eaten(self.item, str(self["food"].value() or ""), self.asked)

    def clean(self) -> dict[str, Any]:
        """Require the missing values of a row that is not empty."""
        values = super().clean() or self.cleaned_data
        if values.get("DELETE"):
            self.errors.clear()
            return values
        money = values.get("amount") is not None or values.get("cost") is not None
        if money and not values.get("name"):
            self.add_error("name", gettext("Name the item, such as cake stands."))
        if values.get("name") and values.get("amount") is None and "amount" not in self.errors:
            priced = gettext("Enter the price of %(item)s, or 0 if it is included.")
            self.add_error("amount", priced % {"item": values["name"]})
        if values.get("name") and not values.get("tax") and "tax" not in self.errors:
            taxed = gettext("Choose the tax category of %(item)s.")
            self.add_error("tax", taxed % {"item": values["name"]})
        answered = values.get("all_free") or any(values.get(name) for name in (*_ANSWERS, *_FACTS.values()))
        if answered and values.get("food") != QuoteExtra.Food.CHECKED:
            self.add_error("food", gettext("Allergens are checked: choose “food, or touches food”, or uncheck them."))
        self._check_name(values)
        name, food = values.get("name") or "", values.get("food") or ""
        if not values.get("not_eaten") and sounds_eaten(name, food, self.asked):
            eaten = gettext(
                "“%(name)s” may be food, and the answer is that it is not. Change the answer, or check that "
                "nobody eats it."
            )
            self.add_error("not_eaten", eaten % {"name": values["name"]})
        named = {*(values.get("contains") or ()), *(values.get("may_contain") or ())}
        if both := [code for code in values.get("free_of") or () if code in named]:
            words = allergen_words(both)
            twice = gettext("It cannot both contain %(allergens)s and be free of it. Uncheck one of them.")
            self.add_error("free_of", twice % {"allergens": words})
        return values

    def _check_name(self, values: dict[str, Any]) -> None:
        """Ask where the name has an allergen that is answered free, and how it is known where the name says little."""
        self._check_source(values)
        if values.get("only_named") or not values.get("name"):
            return
        row = TableExtra(
            name=values["name"],
            cost_minor=0,
            amount_minor=0,
            tax_id=0,
            tax_code="",
            food=values.get("food") or "",
            allergens=tuple(values.get("contains") or ()),
            may_contain=tuple(values.get("may_contain") or ()),
            free_of=self._free_of(values),
            facts=_facts(values),
        )
        if inside := only_named(row, self.asked):
            sentence = gettext(
                "“%(name)s” names %(allergens)s, and the answer is that there is none in it. Change the answer, or "
                "check that it only has the name."
            )
            if set(inside) <= {*maybe_made_with(values["name"])}:
                sentence = gettext(
                    "“%(name)s” may be made with %(allergens)s, and the answer is that there is none in it. Ask, and "
                    "change the answer, or check that it only has the name."
                )
            self.add_error("only_named", sentence % {"name": values["name"], "allergens": allergen_words(inside)})

    def _check_source(self, values: dict[str, Any]) -> None:
        name = values.get("name") or ""
        if self._free_of(values) and source_missing(name, values.get(FREE_BY) or ""):
            self.add_error(FREE_BY, missing_words(name))

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
            facts=_facts(values),
            free_by=_free_by(values),
        )

    def _free_of(self, values: dict[str, Any]) -> tuple[str, ...]:
        """Return what it is free of by its label: what is ticked, or all that the list asks and nothing else names."""
        if values.get("food") != QuoteExtra.Food.CHECKED:
            return ()
        named = {*(values.get("contains") or ()), *(values.get("may_contain") or ())}
        rest = [code for code in self.asked if code not in named] if values.get("all_free") else []
        return tuple(dict.fromkeys([*(values.get("free_of") or ()), *rest]))


def _facts(values: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return what was answered besides allergens, where it is food."""
    if values.get("food") != QuoteExtra.Food.CHECKED:
        return ()
    return tuple(sorted((code, values[name]) for code, name in _FACTS.items() if values.get(name)))


def _free_by(values: dict[str, Any]) -> str:
    """Return how it is known what it is free of, where that was asked."""
    asked = values.get("food") == QuoteExtra.Food.CHECKED and (values.get("all_free") or values.get("free_of"))
    return str(values.get(FREE_BY) or "") if asked and not is_single_food(values["name"]) else ""


class BaseExtraFormSet(forms.BaseFormSet[ExtraForm]):
    """The extras of a table."""

    row_word = _("Item")


ExtraFormSet = forms.formset_factory(
    ExtraForm, formset=BaseExtraFormSet, extra=1, max_num=MOST_ROWS, absolute_max=MOST_ROWS + 20, can_delete=True
)


def minor_units_or_none(amount: Money | None) -> int | None:
    """Return an amount in minor units, or None."""
    return None if amount is None else minor_units(amount)


def extra_shown(extra: TableExtra, currency: str, allergen_list: str) -> dict[str, Any]:
    """Return the form's values for an extra; free of all the rest is one tick, where it is."""
    money = {"cost": from_minor(extra.cost_minor, currency), "amount": from_minor(extra.amount_minor, currency)}
    answered = {*extra.allergens, *extra.may_contain, *extra.free_of}
    rest = extra.food == QuoteExtra.Food.CHECKED and bool(extra.free_of) and answered >= {*asked_of(allergen_list)}
    ticked: dict[str, Any] = {"contains": list(extra.allergens), "may_contain": list(extra.may_contain)}
    ticked["only_named"] = bool(only_named(extra, asked_of(allergen_list)))
    ticked["not_eaten"] = sounds_eaten(extra.name, extra.food, asked_of(allergen_list))
    ticked[FREE_BY] = extra.free_by
    label = {"food": extra.food, **ticked, "free_of": [] if rest else list(extra.free_of), "all_free": rest}
    facts = {_FACTS[code]: answer for code, answer in extra.facts if code in _FACTS}
    return {"name": extra.name, "tax": str(extra.tax_id), **money, **label, **facts}
