"""The pages of tax categories and their dated rates."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from catalog.kitchen.selectors import kitchen
from catalog.records.presenters import users_words
from catalog.records.uses import users_of
from catalog.taxes import services
from catalog.taxes.forms import TaxCategoryForm, TaxRateForm
from catalog.taxes.models import TaxCategory, TaxRate
from catalog.taxes.selectors import tax_row, tax_rows
from catalog.web.access import OWNER, allow
from catalog.web.editor import deleted
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data


@allow(OWNER)
def taxes(request: HttpRequest) -> HttpResponse:
    """List the tax categories with the rate in force."""
    context = {"rows": tax_rows(today=timezone.localdate()), "kitchen_profile": kitchen()}
    return render(request, "catalog/taxes/taxes.html", context)


@allow(OWNER)
def tax_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a tax category; its rates stand below on the same page."""
    edit = _edit(submitted_data(request), pk, page=request.path)
    form = edit.forms
    if form.is_bound and form.is_valid():
        save = partial(services.tax_save, tax_id=pk, **form.cleaned_data)
        if saved := edit.saved(lambda version: save(version=version)):
            done = gettext("%(name)s is saved.") if pk else gettext("%(name)s is saved. Now enter its rate.")
            messages.success(request, done % {"name": saved})
            return redirect("kitchen-taxes-edit", pk=saved.pk)
    context = _tax_context(edit, _rate_form(edit.record))
    return render(request, "catalog/taxes/tax.html", context, status=edit.status())


def _edit(data: QueryDict | None, pk: int | None, *, page: str) -> Edit[TaxCategory | None, TaxCategoryForm]:
    return Edit(
        data=data,
        load=lambda: get_object_or_404(TaxCategory, pk=pk) if pk else None,
        forms=_form,
        version_of=services.tax_version,
        page=page,
    )


def _form(tax: TaxCategory | None, data: QueryDict | None) -> TaxCategoryForm:
    initial = {"name": str(tax), "untdid": tax.untdid, "exempt_reason": tax.exempt_reason} if tax else {}
    taxed = tax is not None and any(rate.rate for rate in tax.rates.all())
    return TaxCategoryForm(data, taxed=taxed, initial=initial)


def _rate_form(tax: TaxCategory | None, data: Any = None) -> TaxRateForm | None:
    if tax is None:
        return None
    return TaxRateForm(data, begun=frozenset(rate.starts for rate in tax.rates.all()), untdid=tax.untdid)


def _tax_context(edit: Edit[TaxCategory | None, TaxCategoryForm], rate_form: TaxRateForm | None) -> dict[str, Any]:
    tax = edit.record
    return {
        "tax": tax,
        "form": edit.forms,
        "edit": edit,
        "rate_form": rate_form,
        "row": tax_row(tax, today=timezone.localdate()) if tax else None,
        "users": users_words(users_of(tax)) if tax else "",
    }


@allow(OWNER)
@require_POST
def rate_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a rate to a tax category."""
    tax = get_object_or_404(TaxCategory, pk=pk)
    form = _rate_form(tax, request.POST)
    if form is not None and form.is_valid():
        services.rate_add(tax_id=pk, **form.cleaned_data)
        messages.success(request, gettext("The rate is added."))
        return redirect("kitchen-taxes-edit", pk=pk)
    about = _edit(None, pk, page=reverse("kitchen-taxes-edit", args=[pk]))
    return render(request, "catalog/taxes/tax.html", _tax_context(about, form))


@allow(OWNER)
@require_POST
def rate_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a rate that is not in force yet."""
    rate = get_object_or_404(TaxRate, pk=pk)
    services.rate_remove(rate_id=pk, today=timezone.localdate())
    messages.success(request, gettext("The rate is removed."))
    return redirect("kitchen-taxes-edit", pk=rate.category_id)


@allow(OWNER)
@require_POST
def tax_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a tax category nothing needs."""
    tax = get_object_or_404(TaxCategory, pk=pk)
    return deleted(request, tax, partial(services.tax_delete, tax_id=pk), "kitchen-taxes")
