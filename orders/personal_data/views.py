"""The owner's page about one customer's personal data: what is stored, its export, and erasing it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from catalog.web.access import OWNER, allow
from orders.documents.responses import attachment
from orders.inquiries.models import Customer
from orders.personal_data.files import MEDIA_TYPE, person_zip, zip_name
from orders.personal_data.forms import EraseForm
from orders.personal_data.presenters import person_shown
from orders.personal_data.selectors import Person
from orders.personal_data.services import person_erase, person_exported


@allow(OWNER)
def personal_data(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is stored about a customer, what erasing removes and what stays; erase it."""
    person = Person(get_object_or_404(Customer, pk=pk))
    form = EraseForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        person_erase(customer_id=pk, by=request.user.get_username(), at=timezone.now())
        messages.success(request, "The personal data is erased.")
        return redirect("customers")
    context = {"customer": person.customer, "shown": person_shown(person), "form": form}
    return render(request, "orders/personal_data/person.html", context)


@allow(OWNER)
@require_POST
def personal_data_export(request: HttpRequest, pk: int) -> HttpResponse:
    """Download everything stored about a customer."""
    person, now = Person(get_object_or_404(Customer, pk=pk)), timezone.now()
    body = person_zip(person, at=now)
    person_exported(customer_id=pk, by=request.user.get_username(), at=now)
    return attachment(body, zip_name(person), MEDIA_TYPE)
