"""The page of the kitchen's cancellation table."""

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.forms import BaseForm
from django.forms.formsets import BaseFormSet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext

from catalog.kitchen.cancellation import rows_read, rows_stored
from catalog.kitchen.cancellation_forms import CancellationTaxForm, retained_rows
from catalog.kitchen.models import Kitchen
from catalog.kitchen.part_services import CANCELLATION
from catalog.kitchen.selectors import kitchen
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data


class CancellationForms:
    """The rows and the tax, checked together."""

    def __init__(self, home: Kitchen, data: QueryDict | None) -> None:
        self.rows = retained_rows(data, list(rows_read(home.cancellation_table)))
        self.tax = CancellationTaxForm(data, kitchen=home)

    def __iter__(self) -> Iterator[BaseForm | BaseFormSet[Any]]:
        return iter((self.rows, self.tax))

    def is_valid(self) -> bool:
        """Check both, so that the page shows the errors of both."""
        return all([self.rows.is_valid(), self.tax.is_valid()])


@allow(OWNER)
def cancellation(request: HttpRequest) -> HttpResponse:
    """Show and change what is kept of an order that a customer cancels, by days before the event."""
    if kitchen()._state.adding:
        return redirect("kitchen-profile")
    data = submitted_data(request)
    edit = Edit(data=data, load=kitchen, forms=CancellationForms, version_of=CANCELLATION.version, page=request.path)
    if data is not None and edit.forms.is_valid():
        forms = edit.forms
        columns = {"cancellation_table": rows_stored(forms.rows.rows()), "cancellation_tax": forms.tax.tax_id()}
        if edit.saved(lambda version: CANCELLATION.save(columns, version=version)):
            messages.success(request, gettext("The cancellation table is saved."))
            return redirect("kitchen-cancellation")
    context = {"forms": edit.forms, "edit": edit}
    return render(request, "catalog/kitchen/cancellation.html", context, status=edit.status())
