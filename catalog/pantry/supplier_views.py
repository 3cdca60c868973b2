"""Suppliers."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from catalog.pantry.forms import SupplierForm
from catalog.pantry.models import Supplier
from catalog.pantry.selectors import supplier_list
from catalog.pantry.services import supplier_delete, supplier_save, supplier_version
from catalog.web.access import OWNER, allow
from catalog.web.editor import deleted
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data


@allow(OWNER)
def suppliers(request: HttpRequest) -> HttpResponse:
    """List the suppliers."""
    return render(request, "catalog/pantry/suppliers.html", {"suppliers": supplier_list()})


@allow(OWNER)
def supplier_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a supplier."""
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Supplier, pk=pk) if pk else None,
        forms=_form,
        version_of=supplier_version,
        page=request.path,
    )
    form = edit.forms
    if form.is_bound and form.is_valid():
        save = partial(supplier_save, supplier_id=pk, **form.cleaned_data)
        if saved := edit.saved(lambda version: save(version=version)):
            messages.success(request, gettext("%(name)s is saved.") % {"name": saved.name})
            return redirect("suppliers")
    context = {"form": edit.forms, "edit": edit, "supplier": edit.record}
    return render(request, "catalog/pantry/supplier.html", context, status=edit.status())


def _form(supplier: Supplier | None, data: QueryDict | None) -> SupplierForm:
    initial = {"name": supplier.name, "note": supplier.note} if supplier else {}
    return SupplierForm(data, supplier=supplier, initial=initial)


@allow(OWNER)
@require_POST
def supplier_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a supplier that nothing refers to."""
    supplier = get_object_or_404(Supplier, pk=pk)
    return deleted(request, supplier, partial(supplier_delete, supplier_id=pk), "suppliers")
