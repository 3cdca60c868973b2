"""The form of a step of a product: it may say which components go in at it, how warm, and what they become."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.products.models import ProductStep
from catalog.recipes.choices import Choices, StepChoices
from catalog.recipes.step_forms import StepForm, step_initial
from catalog.web.measure_fields import PickField, TemperatureField
from catalog.web.row_forms import RowSet
from costing.contract.cooling_bounds import LEAVES_C


class ProductStepForm(StepForm):
    """A step of a product; ``fills`` are the components of the product, by code."""

    takes = forms.MultipleChoiceField(
        label=_("Goes in at this step"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("What is checked at no step is in it from the start."),
        error_messages={"invalid_choice": _("Choose from what goes into this product.")},
    )
    takes_as = PickField(
        what=_("how it goes on"),
        label=_("Goes on as"),
        choices=[("", _("choose")), *ProductStep.TakesAs.choices],
        required=False,
    )

    frees_mold = forms.BooleanField(
        label=_("The mold is free again after this step"),
        required=False,
        help_text=_("Check this at one step only. If none is checked, the mold is free after the last step."),
    )

    def __init__(self, *args: Any, choices: StepChoices, fills: Choices, **kwargs: Any) -> None:
        super().__init__(*args, choices=choices, **kwargs)
        self.fills = fills
        self.fields["takes"].choices = fills  # type: ignore[attr-defined]  # a choice field
        self.fields["takes_c"] = _taken(choices.degrees)

    def clean(self) -> dict[str, Any]:
        found = super().clean()
        if found.get("takes_c") is not None and not found.get("takes") and "takes" not in self.errors:
            self.add_error("takes", gettext("Check what goes in at this step, or clear its temperature."))
        return found

    def more(self) -> dict[str, Any]:
        found = self.cleaned_data
        joins = found["takes_as"] if found["takes"] else ""
        return {
            "takes": tuple(found["takes"]),
            "takes_c": found["takes_c"],
            "takes_as": joins or ProductStep.TakesAs.MIXED.value,
            "frees_mold": found["frees_mold"],
        }


def _taken(degrees: str) -> TemperatureField:
    return TemperatureField(
        what=_("the temperature when it goes in"),
        degrees=degrees,
        within=LEAVES_C,
        examples=("41", "5"),
        label=gettext("Temperature when it goes in, °%(degrees)s") % {"degrees": degrees},
        help_text=_("“Leaves at” counts as measured once this went in: what goes in cold never lowers it."),
    )


class ProductStepSet(RowSet[ProductStepForm]):
    """All steps of a product, in order."""

    form = ProductStepForm
    row_word = _("Step")
    spare_rows = 0

    @property
    def freeing(self) -> list[ProductStepForm]:
        """The steps after which the mold is free again; one, where nothing is wrong."""
        return [form for form in self.filled if getattr(form, "cleaned_data", {}).get("frees_mold")]

    def clean(self) -> None:
        """Refuse a component that goes in twice, and a mold that is free after two steps."""
        again = gettext("The mold is free after an earlier step already. Check one step only.")
        for form in self.freeing[1:]:
            form.add_error("frees_mold", again)
        taken: set[str] = set()
        for form in self.filled:
            codes = getattr(form, "cleaned_data", {}).get("takes") or ()
            for name in [name for code, name in form.fills if code in codes and code in taken]:
                sentence = gettext("%(name)s already goes in at an earlier step. Check it at one step only.")
                form.add_error("takes", sentence % {"name": name})
            taken.update(codes)
        self._ask_how()

    def _ask_how(self) -> None:
        """Ask how something goes on where other components are there before: nothing counts as mixed unasked."""
        each = [(form, tuple(getattr(form, "cleaned_data", {}).get("takes") or ())) for form in self.filled]
        all_taken = {code for _, codes in each for code in codes}
        there = any(code not in all_taken for form, _ in each for code, _ in form.fills)
        for form, codes in each:
            if codes and there and not form.cleaned_data.get("takes_as") and "takes_as" not in form.errors:
                form.add_error("takes_as", gettext("Choose how it goes on. Only what is poured or stirred in mixes."))
            there = there or bool(codes)


def product_step_initial(step: ProductStep) -> dict[str, Any]:
    """Return a saved step of a product as the form shows it."""
    return step_initial(step) | {
        "takes": step.takes,
        "takes_c": step.takes_c,
        "takes_as": step.takes_as if step.takes else "",
        "frees_mold": step.frees_mold,
    }
