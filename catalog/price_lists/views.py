"""Suppliers' price lists: upload, check what changes, import."""

from collections import Counter
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST

from catalog.kitchen.selectors import kitchen
from catalog.pantry.models import Supplier
from catalog.price_lists import services
from catalog.price_lists.forms import PriceListForm
from catalog.price_lists.models import PriceList
from catalog.price_lists.presenters import list_problems
from catalog.price_lists.selectors import reading_given_up
from catalog.records.errors import CatalogError
from catalog.records.presenters import sentence
from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data


@allow(OWNER)
def price_lists(request: HttpRequest) -> HttpResponse:
    """List the uploaded lists and accept a new one."""
    initial = {"starts": timezone.localdate()}
    form = PriceListForm(submitted_data(request), request.FILES or None, kitchen=kitchen(), initial=initial)
    if request.method == "POST" and form.is_valid():
        return redirect("price-list", pk=_uploaded(request, form.cleaned_data).pk)
    context = {
        "form": form,
        "lists": PriceList.objects.select_related("supplier").defer("body", "rows", "errors")[:50],
        "suppliers": Supplier.objects.values_list("name", flat=True),
    }
    return render(request, "catalog/price_lists/price_lists.html", context)


def _uploaded(request: HttpRequest, data: dict[str, Any]) -> PriceList:
    file = data["file"]
    return services.price_list_upload(
        supplier=data["supplier"],
        file_name=file.name,
        body=file.read(),
        starts=data["starts"],
        by=request.user.get_username(),
        at=timezone.now(),
    )


@allow(OWNER)
def price_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a list would change, and its problems."""
    found = get_object_or_404(PriceList.objects.select_related("supplier").defer("body"), pk=pk)
    changes = Counter(row["change"] for row in found.rows)
    changed = [row for row in found.rows if row["change"] != "same"]
    context = {
        "list": found,
        "changed": changed,
        "changes": changes,
        "kitchen_profile": kitchen(),
        "problems": list_problems(found),
        "given_up": reading_given_up(found),
    }
    return render(request, "catalog/price_lists/price_list.html", context)


@allow(OWNER)
@require_POST
def price_list_import(request: HttpRequest, pk: int) -> HttpResponse:
    """Import a list."""
    get_object_or_404(PriceList.objects.only("pk"), pk=pk)
    try:
        count = services.price_list_import(price_list_id=pk, by=request.user.get_username(), at=timezone.now())
    except CatalogError as error:
        messages.error(request, sentence(error))
    else:
        messages.success(
            request, ngettext("%(n)s price is imported.", "%(n)s prices are imported.", count) % {"n": count}
        )
    return redirect("price-list", pk=pk)


@allow(OWNER)
@require_POST
def price_list_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Drop a list."""
    get_object_or_404(PriceList.objects.only("pk"), pk=pk)
    services.price_list_drop(price_list_id=pk)
    messages.success(request, gettext("The price list is discarded. No price was changed."))
    return redirect("price-lists")
