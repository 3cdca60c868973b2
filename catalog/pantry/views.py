"""Ingredients and their packs."""

from dataclasses import replace
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.pantry import selectors as select
from catalog.pantry import services
from catalog.pantry.common import foods_for
from catalog.pantry.declarations import Declaration, declared
from catalog.pantry.food_table import Food, foods
from catalog.pantry.forms import IngredientForms, PackForm
from catalog.pantry.free_by import ARTICLE, BOUGHT, FREE_BY, FREE_BY_WHO, RENAMED, source_of
from catalog.pantry.free_by_words import source_words
from catalog.pantry.models import Ingredient, Supplier
from catalog.pantry.other_goods import loses_free
from catalog.pantry.pack_views import price_changed
from catalog.pantry.price_changes import KEY, change_read, packs_stored, price_before
from catalog.records.errors import CatalogError
from catalog.web.access import OWNER, allow
from catalog.web.display import measure
from catalog.web.editor import deleted, refuse
from catalog.web.edits import Edit
from catalog.web.money_fields import amounts
from catalog.web.pages import query_without_page
from catalog.web.people import name_on_page
from catalog.web.sorting import sorting


@allow(OWNER)
def ingredient_list(request: HttpRequest) -> HttpResponse:
    """List the ingredients with today's packs."""
    search = request.GET.get("find", "").replace("\x00", "").strip()[:80]
    today, home, inactive = timezone.localdate(), kitchen(), "no-longer" in request.GET
    order = sorting(request, {"name": gettext("name"), "priced": gettext("latest price")})
    page = select.ingredient_page(search=search, active=not inactive, sort=order["sort"], page=request.GET.get("page"))
    rows = [(row, select.packs_in_force(row, day=today, cup=home.cup), _label_of(row, home)) for row in page]
    context = {"rows": rows, "search": search, "kitchen_profile": home, "inactive": inactive}
    context |= order
    context |= {"page": page, "list_query": query_without_page(request)}
    return render(request, "catalog/pantry/ingredients.html", context)


def _label_of(row: Any, home: Kitchen) -> Declaration:
    """Return what an ingredient's label says, as answered, with the species and kinds it names."""
    touches = row.touches_food or row.in_recipe
    found = declared(row.allergens, row.allergen_answers, home.allergen_list, touches=touches)
    return replace(found, names={code: frozenset({name}) for code, name in row.allergen_names.items()})


@allow(OWNER)
def ingredient_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change an ingredient; its packs stand below on the same page."""
    edit = _edit(pk, _submitted(request))
    if request.method == "POST" and "use" not in request.POST and edit.forms.is_valid():
        try:
            saved = edit.saved(partial(_save, edit.forms, pk, request.user.get_username()))
        except CatalogError as error:
            refuse(edit.forms.form, error)
        else:
            if saved:
                messages.success(request, _saved_words(edit.record, saved) % {"name": saved.name})
                return redirect("ingredient", pk=saved.pk)
    return render(request, "catalog/pantry/ingredient.html", _context(request, edit), status=edit.status())


def _saved_words(before: Ingredient | None, after: Ingredient) -> str:
    """Say what became of an ingredient; archived and restored as its box says."""
    if before is None or before.active == after.active:
        return gettext("%(name)s is saved.")
    return gettext("%(name)s is restored.") if after.active else gettext("%(name)s is archived.")


@allow(OWNER)
def pack_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Record a pack's price; what was refused is shown again on the ingredient's page."""
    if request.method != "POST":
        return redirect("ingredient", pk=pk)
    ingredient = get_object_or_404(Ingredient, pk=pk)
    pack_form = PackForm(request.POST, base=ingredient.base, kitchen=kitchen(), ingredient_id=pk)
    pack_form.asks_label = _asks_label(ingredient)
    if pack_form.is_valid():
        packs, found = packs_stored(ingredient), amounts(pack_form.cleaned_data)
        del found["sure"]
        try:
            pack = services.pack_add(ingredient_id=pk, **found)
        except CatalogError as error:
            pack_form.asks_instead = error.reason.params.get("day") == pack_form.cleaned_data["starts"]
            refuse(pack_form, error)
        else:
            answer = price_changed(request, pack, packs, before=price_before(pack, packs), after=pack.price)
            _say_other_good(request, ingredient)
            return answer
    context = {**_context(request, _edit(pk)), "pack_form": pack_form, "refused": True}
    return render(request, "catalog/pantry/ingredient.html", context, status=422)


def _say_other_good(request: HttpRequest, before: Ingredient) -> None:
    if Ingredient.objects.get(pk=before.pk).allergen_answers != before.allergen_answers:
        words = gettext("It is from a new supplier or maker: its “free” answers are “not checked” now.")
        messages.warning(request, words)


def _edit(pk: int | None, data: QueryDict | None = None) -> Edit[Ingredient | None, IngredientForms]:
    return Edit(
        data=data,
        load=lambda: get_object_or_404(Ingredient, pk=pk) if pk else None,
        forms=lambda ingredient, data: IngredientForms(data, kitchen=kitchen(), ingredient=ingredient),
        version_of=services.ingredient_version,
        page=reverse("ingredient", args=[pk]) if pk else "",
    )


def _save(forms: IngredientForms, pk: int | None, by: str, version: str) -> Ingredient:
    data, parts = forms.ingredient_data(by), forms.parts_data()
    return services.ingredient_save(ingredient_id=pk, data=data, parts=parts, version=version)


def _submitted(request: HttpRequest) -> QueryDict | None:
    """Return the submitted data, with a chosen suggestion filled in; None when the page is only opened."""
    if request.method != "POST":
        return None
    data = request.POST.copy()
    for key, value in _suggested(str(data.get("use", ""))).items():
        data[key] = value
    return data


def _suggested(choice: str) -> dict[str, str]:
    """Return the fields that a chosen row of the food table fills: density, piece weight or yield, and the source.

    Its composition is never copied: the row's number is stored, and ``none`` removes it.
    """
    ndb, _, measure = choice.partition("|")
    food = foods().get(ndb)
    if food is None:
        return {"ndb": ""} if choice == "none" else {}
    if measure == "composition":
        return {"ndb": food.ndb}
    filled = {"source": food.source, "ndb": food.ndb}
    if measure == "yield" and food.yield_share is not None:
        return {**filled, "yield_share": f"{food.yield_share * 100:f}"}
    weight = food.weight(measure)
    if weight is None:
        return {}
    return {**filled, **({"density": f"{weight.density:f}"} if weight.density else {"grams_each": f"{weight.grams:f}"})}


def _context(request: HttpRequest, edit: Edit[Ingredient | None, IngredientForms]) -> dict[str, Any]:
    home, today = kitchen(), timezone.localdate()
    ingredient, ingredient_forms = edit.record, edit.forms
    return {
        "ingredient": ingredient,
        "edit": edit,
        "form": ingredient_forms.form,
        "parts": ingredient_forms.parts,
        "composition": ingredient_forms.composition,
        "label": ingredient_forms.label,
        "composition_stated": ingredient_forms.stated,
        "matched": ingredient_forms.food,
        "foods": _chosen_first(foods_for(ingredient_forms.name), ingredient_forms.food),
        "prices": select.prices_of(ingredient, day=today, cup=home.cup) if ingredient else None,
        "pack_form": _pack_form(request, ingredient, home) if ingredient else None,
        **_name_noted(request, ingredient),
        "users": select.ingredient_users(ingredient) if ingredient else [],
        "declared": _label_of(_with_recipes(ingredient), home) if ingredient else None,
        "suppliers": Supplier.objects.values_list("name", flat=True),
        "kitchen_profile": home,
        "looked_up": "use" in request.POST,
        "opened": _opened(request, ingredient, ingredient_forms),
        "priced": "priced" in request.GET,
        "change": ingredient and change_read(request.session.get(KEY), ingredient),
    }


def _name_noted(request: HttpRequest, ingredient: Ingredient | None) -> dict[str, Any]:
    """Return how it is known what it is free of, who says so, and what took it back: a name, a good, an article."""
    named = ingredient.named_only if ingredient else {}
    value = named.get(FREE_BY, "")
    known = source_of(value, ingredient.name) if ingredient else ""
    return {
        "free_by": source_words(value) if known else "",
        "free_by_who": name_on_page(request, named[FREE_BY_WHO]) if named.get(FREE_BY_WHO) else "",
        "renamed": named.get(RENAMED, ""),
        "article": named.get(ARTICLE, ""),
        "bought": BOUGHT in named,
        "bought_before": named.get(BOUGHT, ""),
    }


def _opened(request: HttpRequest, ingredient: Ingredient | None, parts: IngredientForms) -> dict[str, bool]:
    """Return which parts of the page are open: of a new ingredient, what has an error, and what is not answered."""
    label_open = ingredient is not None and bool(_label_of(_with_recipes(ingredient), kitchen()).unchecked)
    took = request.POST.get("use", "").endswith("composition")
    return {
        "label": ingredient is None or label_open or bool(parts.label.errors),
        "parts": bool(parts.parts.total_error_count()) or bool(parts.parts.initial_form_count()),
        "composition": parts.stated or bool(parts.composition.errors) or took,
        "price": "pack" in request.GET or not (ingredient and ingredient.packs.exists()),
    }


def _with_recipes(ingredient: Ingredient) -> Ingredient:
    ingredient.in_recipe = ingredient.recipe_lines.exists()  # type: ignore[attr-defined]  # as the list annotates it
    return ingredient


def _pack_form(request: HttpRequest, ingredient: Ingredient, home: Kitchen) -> PackForm:
    """Return the form of a new price, filled with the pack and the supplier of one that the address names."""
    initial: dict[str, Any] = {"starts": timezone.localdate()}
    named = request.GET.get("pack", "")
    pack = (
        ingredient.packs.filter(pk=int(named)).first()
        if named.isascii() and named.isdigit() and len(named) < 19
        else None
    )
    if pack is not None:
        supplier = pack.supplier.name if pack.supplier else ""
        initial |= {"size": measure(pack.size), "supplier": supplier, "preferred": pack.preferred}
    form = PackForm(base=ingredient.base, kitchen=home, initial=initial)
    form.asks_label = _asks_label(ingredient)
    if pack is not None:
        form.fields["price"].widget.attrs["autofocus"] = True
    return form


def _asks_label(ingredient: Ingredient) -> bool:
    """Return whether a price from a new supplier asks for the label of what is sold."""
    return loses_free(ingredient) and ingredient.packs.exists()


def _chosen_first(found: list[Food], chosen: Food | None) -> list[Food]:
    return [chosen, *(food for food in found if food.ndb != chosen.ndb)] if chosen else found


@allow(OWNER)
@require_POST
def ingredient_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete an ingredient nothing uses."""
    ingredient = get_object_or_404(Ingredient, pk=pk)
    return deleted(request, ingredient, partial(services.ingredient_delete, ingredient_id=pk), "ingredients")
