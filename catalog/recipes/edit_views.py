"""Recipes to write: the editor with its running figures, copy, set aside, delete."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.recipes import services
from catalog.recipes.choices import step_choices
from catalog.recipes.forms import RecipeForms
from catalog.recipes.models import Recipe
from catalog.recipes.pantry import pantry_load
from catalog.recipes.selectors import recipes_whole
from catalog.records.errors import CatalogError, InUse
from catalog.records.presenters import sentence
from catalog.web.access import OWNER, allow
from catalog.web.copy_form import CopyForm
from catalog.web.row_forms import row_news, rows_rearranged


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_new(request: HttpRequest) -> HttpResponse:
    """Write a new recipe."""
    return _edited(request, None)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a recipe."""
    return _edited(request, get_object_or_404(recipes_whole(), pk=pk))


@allow(OWNER)
@require_POST
def recipe_figures(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Give the figures of what is written so far; nothing is kept."""
    recipe = get_object_or_404(recipes_whole(), pk=pk) if pk is not None else None
    sheet = _sheet(recipe, request.POST)
    return render(request, "catalog/recipes/figures.html", {"sheet": sheet, "card": sheet.card, "beside": True})


def _edited(request: HttpRequest, recipe: Recipe | None) -> HttpResponse:
    do = request.POST.get("do", "")
    data = rows_rearranged(request.POST, do) if request.method == "POST" else None
    sheet = _sheet(recipe, data)
    wrong = False
    if data is not None and do == "save":
        saved = _saved(request, sheet) if sheet.is_valid() else None
        if saved:
            messages.success(request, f"{saved.name} is saved.")
            return redirect("recipe", pk=saved.pk)
        wrong = True
    elif data is not None:
        sheet.hush()
        sheet.focus_added(do)
    context = {"sheet": sheet, "card": sheet.card, "recipe": recipe, "wrong": wrong, "money": True}
    context |= row_news(do, data) | {"forms": [sheet.form, sheet.lines, sheet.steps] if wrong else []}
    return render(request, "catalog/recipes/edit.html", context, status=422 if wrong else 200)


def _sheet(recipe: Recipe | None, data: Any) -> RecipeForms:
    pantry = pantry_load(day=timezone.localdate())
    return RecipeForms(pantry=pantry, choices=step_choices(), data=data, recipe=recipe)


def _saved(request: HttpRequest, sheet: RecipeForms) -> Recipe | None:
    try:
        return services.recipe_save(
            recipe_id=sheet.recipe.pk if sheet.recipe else None,
            keep=sheet.keep(),
            seen=sheet.form.cleaned_data["seen"],
            by=request.user.get_username(),
            at=timezone.now(),
        )
    except CatalogError as error:
        sheet.form.add_error(None, sentence(error))
        return None


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a recipe under another name."""
    recipe = get_object_or_404(Recipe, pk=pk)
    form = CopyForm(request.POST or None, initial={"name": f"{recipe.name}, copy"[:500]})
    if request.method == "POST" and form.is_valid():
        name, by = form.cleaned_data["name"], request.user.get_username()
        copy = services.recipe_copy(recipe_id=pk, name=name, by=by, at=timezone.now())
        return redirect("recipe-edit", pk=copy.pk)
    context = {"form": form, "recipe": recipe}
    return render(request, "catalog/recipes/copy.html", context, status=422 if form.errors else 200)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a recipe, or say what still uses it and offer to set it aside."""
    recipe = get_object_or_404(Recipe, pk=pk)
    refusal = ""
    if request.method == "POST":
        try:
            services.recipe_delete(recipe_id=pk, by=request.user.get_username(), at=timezone.now())
        except InUse as error:
            refusal = sentence(error)
        else:
            messages.success(request, f"{recipe.name} is deleted.")
            return redirect("recipes")
    context = {"recipe": recipe, "refusal": refusal, "users": services.recipe_users(recipe=recipe)}
    return render(request, "catalog/recipes/delete.html", context, status=409 if refusal else 200)


@allow(OWNER)
@require_POST
def recipe_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a recipe as used or no longer used."""
    recipe = get_object_or_404(Recipe, pk=pk)
    active = request.POST.get("active") == "yes"
    services.recipe_set_active(recipe_id=pk, active=active, by=request.user.get_username(), at=timezone.now())
    messages.success(request, f"{recipe.name} is {'in use again' if active else 'marked as no longer used'}.")
    return redirect("recipe", pk=pk)
