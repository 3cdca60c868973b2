"""Suppliers."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from catalog.pantry.forms import SupplierForm
from catalog.pantry.models import Supplier
from catalog.pantry.selectors import supplier_list
from catalog.pantry.services import supplier_delete, supplier_save
from catalog.web.access import OWNER, allow
from catalog.web.editor import deleted
from catalog.web.form_data import submitted_data


@allow(OWNER)
def suppliers(request: HttpRequest) -> HttpResponse:
    """List the suppliers."""
    return render(request, "catalog/pantry/suppliers.html", {"suppliers": supplier_list()})


@allow(OWNER)
def supplier_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a supplier."""
    supplier = get_object_or_404(Supplier, pk=pk) if pk else None
    initial = {"name": supplier.name, "note": supplier.note} if supplier else {}
    form = SupplierForm(submitted_data(request), supplier=supplier, initial=initial)
    if request.method == "POST" and form.is_valid():
        saved = supplier_save(supplier_id=pk, **form.cleaned_data)
        messages.success(request, f"{saved.name} is saved.")
        return redirect("suppliers")
    return render(request, "catalog/pantry/supplier.html", {"form": form, "supplier": supplier})


@allow(OWNER)
@require_POST
def supplier_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a supplier that nothing refers to."""
    supplier = get_object_or_404(Supplier, pk=pk)
    return deleted(request, supplier, partial(supplier_delete, supplier_id=pk), "suppliers")
