"""The recipe editor's forms: head, lines and steps, with the figures that belong to each line."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.recipes.choices import StepChoices
from catalog.recipes.cost_basis import CostBasis, LaborDraft, LineDraft, RecipeDraft, grams_or_none, recipe_draft
from catalog.recipes.costs import LineCard, RecipeCard, RecipeCosting
from catalog.recipes.line_forms import LineForm, LineRow, LineSet
from catalog.recipes.models import Recipe
from catalog.recipes.never_hot_words import heat_claimed_away
from catalog.recipes.no_heat import names_what_instead, says_cooked
from catalog.recipes.presenters import line_problem
from catalog.recipes.services import RecipeData
from catalog.recipes.step_forms import RecipeStepSet, recipe_step_initial
from catalog.web.display import current, mass_unit
from catalog.web.editor import EditorForms
from catalog.web.fields import PercentField
from catalog.web.folds import FoldedFields
from catalog.web.measure_fields import MeasureField, PickField, WordsField
from catalog.web.near_forms import AsksNear
from catalog.web.plan_fields import MassField


class RecipeForm(FoldedFields, AsksNear):
    """The head of a recipe."""

    name = WordsField(
        what=marked("the name"),
        most=500,
        label=_("Name"),
        error_messages={"required": _("Enter a name, such as Lemon cream.")},
    )
    loss = PercentField(
        what=marked("the loss"),
        label=_("Loss, %"),
        most=99,
        required=False,
        example="4",
        help_text=_("What stays in the bowl, boils away or is trimmed off."),
    )
    batch_limit = MeasureField(
        what=marked("the maximum batch"),
        mass=True,
        required=False,
        label=_("Maximum batch"),
        help_text=_("What your bowl, pan or pot holds, such as 6 kg or 12 lb."),
    )
    batch_min = MeasureField(
        what=marked("the minimum batch"),
        mass=True,
        required=False,
        label=_("Minimum batch"),
        help_text=_("An order that needs less is charged for this much."),
    )
    kg_per_place = MassField(
        what=marked("the amount on one place"),
        label=_("Weight per shelf place"),
        required=False,
        examples=("10", "4.5"),
        help_text=_("How much of a batch one shelf place of a rack or refrigerator holds. Empty: a batch takes one."),
    )
    loss_of = PickField(
        what=marked("the kind of loss"),
        label=_("Kind of loss"),
        choices=Recipe.LossOf.choices,
    )
    air = PercentField(
        what=marked("the air whipped in"),
        label=_("Air whipped in, % of volume"),
        most=74,
        required=False,
        example="50",
        help_text=_("Cream whipped to twice its volume is half air: enter 50. Leave empty where nothing is whipped."),
    )
    shelf_stable = forms.BooleanField(
        label=_("Safe at room temperature, needs no cooling"),
        required=False,
        help_text=_(
            "Such as dry caramel or roasted nuts. Dry meringue holds egg, so it needs a source below. You answer for "
            "it: nobody is asked to cool it, and no sheet shows it as made hot. Ask your food authority where you are "
            "not sure."
        ),
    )
    shelf_stable_source = WordsField(
        what=marked("the source"),
        most=300,
        label=_("Source: what shows that it is safe at room temperature"),
        required=False,
        help_text=_(
            "Needed where it holds milk, egg, cream, gelatin or custard, or an ingredient that was not checked for "
            "milk or egg. Such as: “Water activity 0.79, measured by (name), May 2026”; a measured pH the same way; a "
            "laboratory’s or authority’s assessment or a published source, with its number or date; or, of one thing "
            "that is bought, “shelf-stable by its label”. Values are checked against table B of the US Food Code "
            "(2022, 1-201.10). It is for this recipe as it is: ask again when you change it."
        ),
    )
    never_hot = forms.BooleanField(
        label=_("Never hot: nothing heats it while it is made, and nothing goes into it hot"),
        required=False,
        help_text=_(
            "Asked where a word speaks of heat, or milk or egg waits in the cold, and no step states a temperature. "
            "For what is boiled, baked or melted, enter “Leaves at” at its step instead."
        ),
    )
    never_hot_reason = WordsField(
        what=marked("the reason"),
        most=300,
        label=_("What is used instead of cooking"),
        required=False,
        help_text=_(
            "Needed where it is cooked as a rule: egg or milk with starch, gelatin in cream, or a custard, curd, "
            "ganache or syrup. Such as: pasteurized yolks and instant (cold-swelling) starch, by its packet."
        ),
    )
    note = WordsField(
        what=marked("the note"),
        most=10_000,
        label=_("Note"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "cols": 50}),
    )
    active = forms.BooleanField(label=_("In use"), required=False, initial=True)

    @property
    def batch_entered(self) -> bool:
        """Whether something rare about its batches is entered, or wrong, so that it stays in view."""
        return self._entered("batch_min", "kg_per_place")

    @property
    def made_entered(self) -> bool:
        """The same of what changes its composition while it is made."""
        return self._entered("air") or self["loss_of"].value() not in (None, "", Recipe.LossOf.WATER)

    @property
    def safe_entered(self) -> bool:
        """The same of what is safe at room temperature, or never hot."""
        return self._entered("shelf_stable", "shelf_stable_source", "never_hot", "never_hot_reason")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        most, least = (grams_or_none(found.get(name) or "", "us") for name in ("batch_limit", "batch_min"))
        if most is not None and least is not None and least > most:
            self.add_error("batch_min", gettext("The minimum batch is more than the maximum batch. Make it smaller."))
        return found


def _per_mass() -> str:
    return gettext("per %(unit)s") % {"unit": mass_unit()}


class RecipeForms(EditorForms[RecipeForm]):
    """All forms of the recipe editor, and the figures computed from them."""

    def __init__(
        self, *, basis: CostBasis, choices: StepChoices, data: Any = None, recipe: Recipe | None = None
    ) -> None:
        self.basis, self.recipe, self.bound = basis, recipe, data is not None
        self.form = RecipeForm(data, initial=_head(recipe) if recipe else None)
        if recipe is not None:
            self.form.never_near()
        self.lines = LineSet(data, prefix="lines", rows=_lines(recipe, basis), form_kwargs={"basis": basis})
        if recipe is None:
            self.lines.extra = self.lines.extra and 4
        saved = list(recipe.steps.all()) if recipe else []
        about = {"choices": choices, "fixed": gettext("per batch"), "each": _per_mass()}
        self.steps = RecipeStepSet(
            data,
            prefix="steps",
            rows=[recipe_step_initial(step) for step in saved],
            form_kwargs={**about, "rates": [step.hands_each for step in saved]},
        )
        self.row_sets = {"lines": self.lines, "steps": self.steps}

    @cached_property
    def written(self) -> list[tuple[LineForm, LineDraft]]:
        """The lines that can be read, with their forms."""
        return [
            (form, LineDraft(found["amount"], *found["what"]))
            for form in self.lines.filled
            if not form.errors and (found := form.cleaned_data)
        ]

    @cached_property
    def card(self) -> RecipeCard:
        """All figures of the lines that can be read."""
        draft = self._draft() if self.bound or self.recipe is None else recipe_draft(self.recipe, self.basis.cup)
        card = RecipeCosting(self.basis, draft).card(draft.code)
        # A line that cannot be read yet leaves the total unknown.
        return card if len(self.written) == len(self.lines.filled) else replace(card, priced=False)

    def _draft(self) -> RecipeDraft:
        self.form.is_valid()
        head = getattr(self.form, "cleaned_data", {})
        return RecipeDraft(
            code=self.recipe.code if self.recipe else "",
            name=head.get("name") or (self.recipe.name if self.recipe else gettext("this recipe")),
            lines=tuple(line for _, line in self.written),
            loss=Fraction(head.get("loss") or 0),
            batch_limit=grams_or_none(head.get("batch_limit") or "", self.basis.cup),
            labor=tuple(self._labor()),
        )

    def _labor(self) -> Iterator[LaborDraft]:
        roles = {str(pk): code for pk, code in self.basis.role_codes.items()}
        for form in self.steps.filled:
            found = {} if form.errors else form.cleaned_data
            if found.get("role"):
                yield LaborDraft(
                    roles.get(found["role"], ""),
                    Fraction(found["hands_fixed"] or 0),
                    Fraction(found["hands_each"] or 0),
                )

    @cached_property
    def rows(self) -> list[LineRow]:
        """The lines with their figures; a line still being written has none."""
        if not self.bound:
            cards: dict[int, LineCard] = dict(enumerate(self.card.lines))
        else:
            places = {id(form): place for place, form in enumerate(self.lines.forms)}
            written = zip(self.written, self.card.lines, strict=True)
            cards = {places[id(form)]: card for (form, _draft), card in written}
        return [_row(form, cards.get(place), place + 1) for place, form in enumerate(self.lines.forms)]

    def is_valid(self) -> bool:
        """Check everything; a line's problem becomes an error of that line."""
        sound = [super().is_valid()]
        for (form, _draft), card in zip(self.written, self.card.lines, strict=True):
            if card.problem:
                form.add_error("what" if card.draft.recipe else "amount", line_problem(card.problem))
                sound.append(False)
        if not self.lines.filled and self.lines.is_valid():
            self.form.add_error(None, gettext("Add at least one line: an amount, and an ingredient or a recipe."))
            sound.append(False)
        self._refuse_never_hot()
        if self.recipe is None:
            self.form.ask_near(Recipe, page="recipe")
        return all(sound) and not self.form.errors

    def _refuse_never_hot(self) -> None:
        """Refuse that it is never hot where a step is called after heat."""
        if not getattr(self.form, "cleaned_data", {}).get("never_hot"):
            return
        entered = (getattr(form, "cleaned_data", {}) for form in self.steps.filled)
        words = [(found.get("name") or "", found.get("text") or "") for found in entered]
        goods = [str(getattr(form, "cleaned_data", {}).get("what") or "") for form in self.lines.filled]
        degrees = current().degrees
        step = next((name for name, text in words if heat_claimed_away(name, [text], degrees, goods)), None)
        if word := heat_claimed_away("", [self.form.cleaned_data.get("note") or ""], degrees, goods):
            text = gettext(
                "The notes speak of heat: “%(word)s”. Enter at its step how warm it leaves, or write the notes as what"
                " it is."
            )
            self.form.add_error("never_hot", text % {"word": word})
        if step is not None:
            text = gettext(
                "The step “%(step)s” speaks of heat. Enter how warm it leaves, or describe the step as what it is."
            )
            self.form.add_error("never_hot", text % {"step": step})
        self._refuse_reason()

    def _refuse_reason(self) -> None:
        """Refuse a reason that names nothing that is used instead of cooking, or that says that it is cooked."""
        reason = self.form.cleaned_data.get("never_hot_reason") or ""
        things = (getattr(form, "cleaned_data", {}).get("what") or "" for form in self.lines.filled)
        if not reason or names_what_instead(reason, map(str, things)):
            return
        text = gettext(
            "This does not name what is used instead of cooking, such as pasteurized yolks, instant or cold-swelling"
            " starch, what is bought ready-made, or “no heat” with an ingredient of the recipe."
        )
        if word := says_cooked(reason):
            text = gettext(
                "“%(word)s” speaks of heat or cooling: for what is cooked, enter “Leaves at” at its step, and clear"
                " “Never hot”. Here, name what is used instead of cooking."
            ) % {"word": word}
        self.form.add_error("never_hot_reason", text)

    def clear_errors(self) -> None:
        """Clear the errors; the problem of a line stays beside it."""
        self.rows  # noqa: B018 - worked out before the errors go
        super().clear_errors()

    def recipe_data(self) -> RecipeData:
        """Return the recipe as the service takes it; call it when all is valid."""
        head = self.form.cleaned_data
        return RecipeData(
            name=head["name"],
            lines=tuple(line for _, line in self.written),
            loss=head["loss"] or Decimal(0),
            loss_of=head["loss_of"],
            shelf_stable=head["shelf_stable"],
            shelf_stable_source=head["shelf_stable_source"],
            never_hot=head["never_hot"],
            never_hot_reason=head["never_hot_reason"],
            air=head["air"] or Decimal(0),
            batch_limit=head["batch_limit"],
            batch_min=head["batch_min"],
            kg_per_place=head["kg_per_place"],
            note=head["note"],
            active=head["active"],
            steps=tuple(form.draft() for form in self.steps.filled),
        )


def _row(form: LineForm, card: LineCard | None, number: int) -> LineRow:
    problem = _problem(card, form)
    return LineRow(form, card, problem, number, "" if problem else form.hint, form.unknown, form.meant)


def _problem(card: LineCard | None, form: LineForm) -> str:
    return line_problem(card.problem or card.gap) if card else _unread(form)


def _unread(form: LineForm) -> str:
    """Return the problem of a line that cannot be read; None while half of it is empty."""
    if not form.is_bound or not form.has_changed():
        return ""
    found = [
        str(error.messages[0])
        for errors in form.errors.as_data().values()
        for error in errors
        if error.code != "required"
    ]
    return found[0] if found else ""


def _head(recipe: Recipe) -> dict[str, Any]:
    return {
        "name": recipe.name,
        "loss": recipe.loss or None,
        "loss_of": recipe.loss_of,
        "shelf_stable": recipe.shelf_stable,
        "shelf_stable_source": recipe.shelf_stable_source,
        "never_hot": recipe.never_hot,
        "never_hot_reason": recipe.never_hot_reason,
        "air": recipe.air or None,
        "batch_limit": recipe.batch_limit,
        "batch_min": recipe.batch_min,
        "kg_per_place": recipe.kg_per_place,
        "note": recipe.note,
        "active": recipe.active,
    }


def _lines(recipe: Recipe | None, basis: CostBasis) -> list[dict[str, Any]]:
    drafts = recipe_draft(recipe, basis.cup).lines if recipe else ()
    return [
        {
            "amount": line.amount,
            "what": basis.label_of.get((line.ingredient, line.part, line.recipe), ""),
        }
        for line in drafts
    ]
