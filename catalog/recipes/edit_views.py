"""The recipe editor with live figures, and copying, archiving and deleting recipes."""

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from catalog.pantry.line_ingredient_forms import LineIngredientForm
from catalog.pantry.line_ingredient_views import LinePlace, line_ingredient
from catalog.pantry.models import Ingredient
from catalog.recipes import services
from catalog.recipes.choices import step_choices
from catalog.recipes.cost_basis import cost_basis_load
from catalog.recipes.forms import RecipeForms
from catalog.recipes.line_forms import suggestion_taken
from catalog.recipes.models import Recipe
from catalog.recipes.presenters import taken_back_words
from catalog.recipes.selectors import recipe_user_names, recipes_whole
from catalog.recipes.step_vessel_views import StepVessel, added_focus, step_vessel
from catalog.web.access import OWNER, allow
from catalog.web.editor import Submission, copy_page, delete_page, editor_page, saved, submission
from catalog.web.edits import Edit

_LINES = LinePlace("lines", "what")


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_new(request: HttpRequest) -> HttpResponse:
    """Create a recipe."""
    return _edited(request)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a recipe."""
    return _edited(request, pk)


@allow(OWNER)
@require_POST
def recipe_figures(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Return the figures of what is entered so far; nothing is saved."""
    recipe = get_object_or_404(recipes_whole(), pk=pk) if pk is not None else None
    editor = _forms(recipe, request.POST)
    return render(request, "catalog/recipes/figures.html", {"editor": editor, "card": editor.card, "beside": True})


def _forms(recipe: Recipe | None, data: Any) -> RecipeForms:
    basis = cost_basis_load(day=timezone.localdate())
    return RecipeForms(basis=basis, choices=step_choices(vessels=True), data=data, recipe=recipe)


def _submission(request: HttpRequest) -> tuple[Submission, LineIngredientForm | None, StepVessel | None]:
    """Read what was sent, with a missing ingredient or vessel added or a suggested ingredient taken."""
    sent = submission(request)
    data, fresh = line_ingredient(request, sent.data, sent.do, place=_LINES, written=_written)
    data, vessel = step_vessel(request, data, sent.do)
    return Submission(sent.do, suggestion_taken(data, sent.do)), fresh, vessel


def _written(ingredient: Ingredient, before: str) -> str:
    """Return how a line names an ingredient that was added, with the part that it named."""
    labels = cost_basis_load(day=timezone.localdate())
    label = labels.label_of.get((ingredient.code, "", ""), ingredient.name)
    part = f"{label}: {before.partition(':')[2].strip()}"
    return next((known for known in labels.labels if known.casefold() == part.casefold()), label)


def _edited(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    sent, fresh, vessel = _submission(request)
    edit = Edit(
        data=sent.data,
        load=lambda: get_object_or_404(recipes_whole(), pk=pk) if pk else None,
        forms=_forms,
        version_of=services.recipe_version,
        page=request.path,
    )
    row = saved(edit, partial(_save, request)) if sent.saves else None
    if row:
        messages.success(request, gettext("%(name)s is saved.") % {"name": row.name})
        return redirect("recipe", pk=row.pk)
    if sent.do == "tub-add" and vessel is None:
        added_focus(edit.forms.steps, sent.data)
    context = {"card": edit.forms.card, "recipe": edit.record, "money": True, "fresh": fresh, "fresh_vessel": vessel}
    return editor_page(request, "catalog/recipes/edit.html", edit, sent, context)


def _save(request: HttpRequest, editor: RecipeForms, version: str) -> Recipe:
    done = services.recipe_save(
        recipe_id=editor.recipe.pk if editor.recipe else None,
        data=editor.recipe_data(),
        version=version,
        by=request.user.get_username(),
        at=timezone.now(),
    )
    if done.taken_back:
        messages.warning(request, taken_back_words(done.taken_back))
    if unsafe := import_string(settings.UNSAFE_WORDS)("recipe", done.recipe.code):
        messages.warning(request, unsafe)
    return done.recipe


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a recipe under another name."""
    recipe = get_object_or_404(Recipe, pk=pk)

    def copy(name: str) -> str:
        by, at = request.user.get_username(), timezone.now()
        return reverse("recipe-edit", args=[services.recipe_copy(recipe_id=pk, name=name, by=by, at=at).pk])

    name = gettext("%(name)s, copy") % {"name": recipe.name}
    return copy_page(request, "catalog/recipes/copy.html", name=name, copy=copy, context={"recipe": recipe})


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a recipe, or show what still uses it and suggest archiving it."""
    recipe = get_object_or_404(Recipe, pk=pk)
    delete = partial(services.recipe_delete, recipe_id=pk, by=request.user.get_username(), at=timezone.now())
    context = {"recipe": recipe, "users": recipe_user_names(recipe)}
    template = "catalog/recipes/delete.html"
    return delete_page(request, template, recipe, delete=delete, listing="recipes", context=context)


@allow(OWNER)
@require_POST
def recipe_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a recipe as used or no longer used."""
    recipe = get_object_or_404(Recipe, pk=pk)
    active = request.POST.get("active") == "yes"
    services.recipe_set_active(recipe_id=pk, active=active, by=request.user.get_username(), at=timezone.now())
    done = gettext("%(name)s is restored.") if active else gettext("%(name)s is archived.")
    messages.success(request, done % {"name": recipe.name})
    return redirect("recipe", pk=pk)
