"""Customers: the list, one of them, changes."""

from copy import copy
from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.pages import query_without_page
from catalog.web.sorting import sorting
from orders.inquiries.customer_services import customer_change, customer_version
from orders.inquiries.forms import CustomerForm
from orders.inquiries.models import Customer
from orders.inquiries.presenters import CUSTOMER_SORTS
from orders.inquiries.selectors import customer_file, customers_like, customers_listed


@require_safe
@allow(OWNER)
def customers(request: HttpRequest) -> HttpResponse:
    """List customers."""
    search = request.GET.get("search", "")
    order = sorting(request, CUSTOMER_SORTS)
    page = customers_listed(search=search, page=request.GET.get("page", 1), sort=order["sort"])
    context = {"page": page, "search": search, **order, "list_query": query_without_page(request)}
    return render(request, "orders/inquiries/customers.html", context)


@require_safe
@allow(OWNER)
def customers_known(request: HttpRequest) -> HttpResponse:
    """Show customers whose name or e-mail matches the text entered in a new inquiry."""
    found = customers_like(request.GET.get("name", "") or request.GET.get("email", ""))
    return render(request, "orders/inquiries/customers_known.html", {"found": found})


@require_safe
@allow(OWNER)
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one customer with inquiries and orders."""
    get_object_or_404(Customer, pk=pk)
    return render(request, "orders/inquiries/customer.html", {"file": customer_file(pk)})


@allow(OWNER)
def customer_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a customer's data."""
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Customer, pk=pk),
        # The form writes what was typed into its instance: the record beside it stays as it is saved.
        forms=lambda person, data: CustomerForm(data, instance=copy(person)),
        version_of=customer_version,
        page=request.path,
    )
    form, by, at = edit.forms, request.user.get_username(), timezone.now()
    if form.is_bound and form.is_valid():
        save = partial(customer_change, customer_id=pk, data=form.customer_data(), by=by, at=at)
        if edit.saved(lambda version: save(version=version)):
            messages.success(request, gettext("Saved."))
            return redirect("customer", pk=pk)
    context = {"form": edit.forms, "edit": edit, "customer": edit.record, "name": str(edit.record)}
    return render(request, "orders/inquiries/customer_edit.html", context, status=edit.status())
