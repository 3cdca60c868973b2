"""Everything the page of an ingredient posts but its packs."""

from typing import Any

from django.forms import model_to_dict

from catalog.forms.buying import IngredientForm, PartForm, PartFormSet
from catalog.forms.buying_composition import CompositionForm
from catalog.models import Ingredient, Kitchen
from catalog.selectors.reference import foods


class IngredientSheet:
    """The ingredient's own form, its composition and its parts."""

    def __init__(self, data: Any = None, *, kitchen: Kitchen, ingredient: Ingredient | None) -> None:
        facts = model_to_dict(ingredient, fields=list(IngredientForm.base_fields)) if ingredient else {}
        parts = list(ingredient.parts.values(*PartForm.base_fields)) if ingredient and data is None else None
        kept = ingredient.allergens if ingredient else []
        self.form = IngredientForm(data, initial=facts, kitchen=kitchen, kept=kept)
        self.food = foods().get(str(self.form["ndb"].value() or ""))
        stated = ingredient.composition if ingredient else {}
        self.composition = CompositionForm(data, kept=stated, food=self.food)
        self.parts = PartFormSet(data, initial=parts, prefix="parts", form_kwargs={"whole": self.name})

    @property
    def name(self) -> str:
        """The name as it stands in its field."""
        return str(self.form["name"].value() or "").replace("\x00", "")[:200]

    @property
    def stated(self) -> bool:
        """Whether the kitchen states a composition, as its fields stand."""
        return any(share.value() not in (None, "") for share in self.composition)

    def is_valid(self) -> bool:
        """Check everything."""
        return all([self.form.is_valid(), self.composition.is_valid(), self.parts.is_valid()])

    def facts(self) -> dict[str, Any]:
        """Return the ingredient's columns as the service takes them; call it when all is valid."""
        return self.form.cleaned_data | {"composition": self.composition.kept()}

    def kept_parts(self) -> list[dict[str, Any]]:
        """Return the parts as the service takes them; call it when all is valid."""
        return [part.cleaned_data for part in self.parts if part.cleaned_data]
