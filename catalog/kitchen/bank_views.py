"""The page of the kitchen's bank account and payment page."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext

from catalog.kitchen.bank_forms import BankForm
from catalog.kitchen.models import Kitchen
from catalog.kitchen.part_services import BANK
from catalog.kitchen.selectors import kitchen
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data


def _form(home: Kitchen, data: QueryDict | None) -> BankForm:
    return BankForm(data, kitchen=home)


@allow(OWNER)
def bank(request: HttpRequest) -> HttpResponse:
    """Show and change where customers pay."""
    if kitchen()._state.adding:
        return redirect("kitchen-profile")
    edit = Edit(
        data=submitted_data(request),
        load=kitchen,
        forms=_form,
        version_of=BANK.version,
        page=request.path,
    )
    form, words = edit.forms, kitchen().payment_details
    if not (form.is_bound and form.is_valid()):
        return render(request, "catalog/kitchen/bank.html", {"form": form, "edit": edit, "words": words})
    if edit.saved(lambda version: BANK.save(form.columns(), version=version)):
        messages.success(request, gettext("The bank account and the payment page are saved."))
        return redirect("kitchen-bank")
    context = {"form": edit.forms, "edit": edit, "words": words}
    return render(request, "catalog/kitchen/bank.html", context, status=edit.status())
