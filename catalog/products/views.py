"""The list of products, and a product's page with the costs of one unit."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.book.selectors import book_as_it_stands, book_current
from catalog.products.claims import product_declared
from catalog.products.declarations import declarations_of
from catalog.products.looks import look_of, looks_of
from catalog.products.models import Product
from catalog.products.plan_words import load_words
from catalog.products.presenters import SORTED, DeclaredShown, declared_shown, difference_words, prices_shown
from catalog.products.quantity_form import QuantityForm
from catalog.products.ready_time import product_times
from catalog.products.selectors import also_made, product_list, product_prices, products_whole, usual_units
from catalog.products.spoken import product_spoken
from catalog.recipes.cost_basis import cost_basis_load
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.pages import query_without_page
from catalog.web.roles import sees_costs
from catalog.web.sorting import sorting


@allow(OWNER, KITCHEN)
@require_safe
def products(request: HttpRequest) -> HttpResponse:
    """Show a page of the products, archived ones last and apart."""
    search = request.GET.get("q", "").replace("\x00", "").strip()[:100]
    money = sees_costs(request)
    order = sorting(request, SORTED)
    asked = {"search": search, "sort": order["sort"], "page": request.GET.get("page")}
    found = product_list(day=timezone.localdate(), priced=money, **asked)
    context = {"sold": found.sold, "aside": found.aside, "search": search, "money": money}
    context["looks"] = looks_of(found.page.object_list)
    context |= order | {"page": found.page, "list_query": query_without_page(request)}
    context["stop"] = sentence(found.stop) if found.stop else ""
    return render(request, "catalog/products/list.html", context)


@allow(OWNER, KITCHEN)
@require_safe
def product(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one product at a quantity."""
    row = get_object_or_404(products_whole(), pk=pk)
    form = QuantityForm(request.GET if "units" in request.GET else None, product=row)
    sound = form.is_bound and form.is_valid()
    units = form.cleaned_data["units"] if sound else usual_units(row)
    day, money = timezone.localdate(), sees_costs(request)
    context: dict[str, Any] = {"product": row, "units": units, "form": form, "money": money}
    basis = cost_basis_load(day=day)
    book = book_as_it_stands()
    times = product_times(book=book, product=row.code, units=units, basis=basis)
    context |= {"times": times, "also": also_made(row), "look": look_of(row)}
    context |= _priced(row, units) if money else {}
    context["declared"] = _declared(row)
    # Before the kitchen is set up the Book is empty.
    record = next((one for one in book.products if one.code == row.code), None)
    context["load_words"] = load_words(row, list(row.steps.all()), record) if record else ""
    return render(request, "catalog/products/page.html", context, status=422 if form.errors else 200)


def _priced(row: Product, units: int) -> dict[str, Any]:
    day = timezone.localdate()
    try:
        prices = product_prices(product=row, units=units, day=day)
        alone = product_prices(product=row, units=row.sale_multiple, day=day) if units > row.sale_multiple else None
    except CannotPrice as error:
        return {"stop": sentence(error)}
    cause = difference_words(alone, prices) if alone else ""
    return {"prices": prices, "shown": prices_shown(row, prices), "alone": alone, "cause": cause}


def _declared(row: Product) -> DeclaredShown | None:
    try:
        book = book_current()
        spoken = product_spoken(book.product(row.code), declarations_of(book))
        return declared_shown(product_declared(row.code, book), spoken)
    except CannotPrice:
        return None


def claims_warned(row: Product) -> tuple[str, ...]:
    """Write what the words about a product claim, or may claim, and its ingredients do not bear out."""
    shown = _declared(row)
    return () if shown is None else shown.claims
