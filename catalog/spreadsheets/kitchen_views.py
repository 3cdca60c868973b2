"""The whole kitchen as one file: downloaded, and brought into an empty kitchen."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.book.services import book_bring, book_text
from catalog.records.errors import CatalogError
from catalog.records.presenters import sentence
from catalog.spreadsheets.kitchen_form import KitchenFileForm
from catalog.spreadsheets.views import downloaded, spreadsheets_page
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from costing.contract import InputErrors


@require_safe
@allow(OWNER)
def kitchen_export(request: HttpRequest) -> HttpResponse:
    """Download the whole kitchen as a Book: with molds, steps, loads and all else that no spreadsheet holds."""
    return downloaded(book_text(), "application/json", f"kitchen-{timezone.localdate().isoformat()}.json")


@sent_to("spreadsheets")
@allow(OWNER)
def kitchen_import(request: HttpRequest) -> HttpResponse:
    """Bring such a file into a kitchen that has no catalog yet."""
    form = KitchenFileForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            counts = book_bring(data=form.cleaned_data["kitchen"].read())
        except InputErrors as refused:
            form.refuse(refused.errors)
        except CatalogError as refused:
            form.add_error("kitchen", sentence(refused))
        else:
            messages.success(request, _taken_over(counts))
            return redirect("catalog")
    return spreadsheets_page(request, kitchen_form=form, status=422)


def _taken_over(counts: dict[str, int]) -> str:
    found: dict[str, Any] = {
        "ingredients": counts["ingredients"],
        "recipes": counts["recipes"],
        "products": counts["products"],
    }
    return gettext(
        "The kitchen is here. Ingredients: %(ingredients)d; recipes: %(recipes)d; products: %(products)d."
    ) % (found)
