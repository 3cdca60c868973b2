"""The catalog's front page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.book.presenters import shown_problems
from catalog.book.selectors import book_problems
from catalog.front_page.presenters import catalog_parts
from catalog.front_page.selectors import catalog_counts, ingredients_unchecked, products_claiming
from catalog.kitchen.selectors import kitchen
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.roles import sees_costs


@allow(OWNER, KITCHEN)
@require_safe
def catalog(request: HttpRequest) -> HttpResponse:
    """Show the catalog's parts with their counts, and to the owner what stops pricing or is not checked."""
    money = sees_costs(request)
    counts = catalog_counts()
    parts = catalog_parts(counts, owner=money)
    context = {"parts": parts, "money": money, "problems": shown_problems(book_problems()) if money else []}
    context["nothing_sold"] = not counts["products"].used
    context["unchecked"] = ingredients_unchecked(kitchen()) if money else []
    context["claiming"] = products_claiming() if money else []
    return render(request, "catalog/front_page/catalog.html", context)
