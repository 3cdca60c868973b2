"""The page on which all that is missing of how a recipe cools is answered at once."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from catalog.book.selectors import book_current
from catalog.cooling.answer_forms import AnswerForms
from catalog.cooling.questions import recipe_questions
from catalog.recipes.choices import step_choices
from catalog.recipes.models import Recipe
from catalog.recipes.presenters import taken_back_words
from catalog.recipes.selectors import recipes_whole
from catalog.recipes.services import recipe_save, recipe_version
from catalog.records.errors import CatalogError
from catalog.vessels.services import vessel_save
from catalog.web.access import OWNER, allow
from catalog.web.editor import refuse
from catalog.web.form_data import submitted_data


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_answers(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask all that is missing of how a recipe cools, and save the answers together."""
    recipe, data = get_object_or_404(recipes_whole(), pk=pk), submitted_data(request)
    if data is not None and data.get("mark") != recipe_version(recipe):
        messages.error(request, gettext("This recipe was changed meanwhile. Nothing was saved: answer again."))
        return redirect("recipe-answers", pk=pk)
    found = _forms(recipe, data)
    if not found.questions:
        return redirect("recipe-edit", pk=pk)
    if data is not None and found.is_valid():
        found = _with_vessel(request, found)
        if _saved(request, found):
            messages.success(request, gettext("%(name)s is saved.") % {"name": recipe.name})
            return redirect("recipe-cooling", pk=pk)
    if data is None:
        found.editor.clear_errors()
    context: dict[str, Any] = {"recipe": recipe, "found": found, "mark": recipe_version(recipe)}
    context["forms"] = [] if data is None else [*found.editor.parts, found.tub]
    return render(request, "catalog/cooling/answers.html", context, status=200 if data is None else 422)


def _forms(recipe: Recipe, data: QueryDict | None) -> AnswerForms:
    book = book_current()
    active = any(one.code == recipe.code for one in book.recipes)
    questions = recipe_questions(recipe.code, book) if active else ()
    return AnswerForms(recipe, questions, choices=step_choices(vessels=True), data=data)


def _with_vessel(request: HttpRequest, found: AnswerForms) -> AnswerForms:
    """Return the answers with the vessel that was entered below them, added and chosen."""
    if not found.adds_vessel:
        return found
    by, at = request.user.get_username(), timezone.now()
    vessel = vessel_save(vessel_id=None, data=found.tub.vessel_data(), by=by, at=at)
    choices = step_choices(vessels=True)
    return AnswerForms(found.recipe, found.questions, choices=choices, data=found.with_vessel(vessel.pk))


def _saved(request: HttpRequest, found: AnswerForms) -> bool:
    """Save the answers; a refusal stands on the page."""
    if not found.is_valid():
        return False
    try:
        done = recipe_save(
            recipe_id=found.recipe.pk,
            data=found.editor.recipe_data(),
            version=recipe_version(found.recipe),
            by=request.user.get_username(),
            at=timezone.now(),
        )
    except CatalogError as error:
        refuse(found.editor.form, error)
        return False
    if done.taken_back:
        messages.warning(request, taken_back_words(done.taken_back))
    return True
