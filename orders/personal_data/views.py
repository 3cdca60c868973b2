"""The owner's page about one customer's personal data: what is stored, its export, and erasing it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from catalog.web.access import OWNER, allow
from orders.documents.models import PreparedFile
from orders.documents.responses import prepared_or_wait
from orders.inquiries.models import Customer
from orders.personal_data.file_services import subject_file_ask
from orders.personal_data.forms import EraseForm
from orders.personal_data.presenters import subject_shown
from orders.personal_data.selectors import DataSubject
from orders.personal_data.services import subject_erase


@allow(OWNER)
def personal_data(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is stored about a customer, what erasing removes and what stays; erase it."""
    subject = DataSubject(get_object_or_404(Customer, pk=pk))
    form = EraseForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        subject_erase(customer_id=pk, by=request.user.get_username(), at=timezone.now())
        messages.success(request, gettext("Personal data erased."))
        return redirect("customers")
    context = {"customer": subject.customer, "shown": subject_shown(subject), "form": form}
    return render(request, "orders/personal_data/person.html", context)


@allow(OWNER)
@require_POST
def personal_data_export(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for everything stored about a customer; the outbox writes the file."""
    get_object_or_404(Customer, pk=pk)
    file = subject_file_ask(customer_id=pk, by=request.user.get_username(), at=timezone.now())
    return redirect("customer-personal-data-file", pk=pk, file=file.pk)


@allow(OWNER)
@require_safe
def personal_data_file(request: HttpRequest, pk: int, file: int) -> HttpResponseBase:
    """Return the export of a customer's data, or a page that waits for it."""
    found = get_object_or_404(PreparedFile, pk=file, kind="subject_file", facts__customer=pk)
    customer = get_object_or_404(Customer, pk=pk)
    back = reverse("customer-personal-data", args=[pk])
    context = {"what": gettext("the personal data of %(name)s") % {"name": customer.name}, "noun": gettext("ZIP file")}
    return prepared_or_wait(request, found, {**context, "back": back, "owner": True})
