"""The list of recipes, a recipe's page, other quantities and other pans."""

from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.products.models import Product
from catalog.recipes.presenters import SORTED, scaled_shown
from catalog.recipes.scaling_forms import PanForm, ScaleForm
from catalog.recipes.selectors import recipe_list, recipe_page, recipes_whole
from catalog.recipes.services import recipe_copy
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.pages import query_without_page
from catalog.web.roles import sees_costs
from catalog.web.sorting import sorting


@allow(OWNER, KITCHEN)
@require_safe
def recipes(request: HttpRequest) -> HttpResponse:
    """Show a page of the recipes, archived ones last and apart."""
    search = request.GET.get("q", "").replace("\x00", "").strip()[:100]
    order = sorting(request, SORTED)
    found = recipe_list(day=timezone.localdate(), search=search, sort=order["sort"], page=request.GET.get("page"))
    context = {"used": found.used, "aside": found.aside, "search": search, "money": sees_costs(request)}
    context |= order | {"page": found.page, "list_query": query_without_page(request)}
    return render(request, "catalog/recipes/list.html", context)


@allow(OWNER, KITCHEN)
@require_safe
def recipe(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one recipe."""
    row = get_object_or_404(recipes_whole(), pk=pk)
    page = recipe_page(recipe=row, day=timezone.localdate())
    context = {"page": page, "card": page.card, "recipe": row, "money": sees_costs(request), "scale": ScaleForm()}
    return render(request, "catalog/recipes/page.html", context)


@allow(OWNER, KITCHEN)
@require_safe
def recipe_scale(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a recipe's amounts for a mass, or for units of a product it goes into."""
    row = get_object_or_404(recipes_whole(), pk=pk)
    page = recipe_page(recipe=row, day=timezone.localdate())
    fills = Prefetch("fills", queryset=row.fills.all())
    products = Product.objects.filter(fills__recipe=row).prefetch_related(fills).distinct()
    form = ScaleForm(request.GET if request.GET else None, page=page, products=products)
    context = {"page": page, "recipe": row, "form": form, "scaled": scaled_shown(form.scaled())}
    return render(request, "catalog/recipes/scale.html", context, status=422 if form.errors else 200)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_pan(request: HttpRequest, pk: int) -> HttpResponse:
    """Rescale a recipe written for one pan to another by volume; save it as a new recipe when asked."""
    row = get_object_or_404(recipes_whole(), pk=pk)
    page = recipe_page(recipe=row, day=timezone.localdate())
    form = PanForm(request.POST or request.GET or None, page=page)
    if request.method == "POST" and form.is_valid() and form.amounts():
        name, amounts, by = form.new_name(), form.amounts(), request.user.get_username()
        copy = recipe_copy(recipe_id=pk, name=name, amounts=amounts, by=by, at=timezone.now())
        return redirect("recipe-edit", pk=copy.pk)
    context = {"page": page, "recipe": row, "form": form, "scaled": scaled_shown(form.scaled())}
    return render(request, "catalog/recipes/pan.html", context, status=422 if form.errors else 200)
