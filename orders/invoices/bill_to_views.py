"""Who is billed for an order."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from orders.documents.content import content_read
from orders.invoices.bill_to import bill_to_version, buyer_of
from orders.invoices.bill_to_forms import BillToForm
from orders.invoices.bill_to_services import order_bill_to
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.presenters import sentence


@allow(OWNER)
def order_bill_to_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Put right who is billed, before the invoice."""
    edit = _edit(pk, submitted_data(request))
    if request.method == "POST" and edit.forms.is_valid():
        facts, by, at = edit.forms.cleaned_data, request.user.get_username(), timezone.now()
        try:
            saved = edit.saved(lambda version: order_bill_to(order_id=pk, bill_to=facts, by=by, at=at, version=version))
        except OrderError as refusal:
            edit.forms.add_error(None, sentence(refusal))
        else:
            if saved:
                messages.success(request, gettext("Saved. The invoice is made out to this name and address."))
                return redirect("order", pk=pk)
    context = {"order": edit.record, "edit": edit, "form": edit.forms}
    return render(request, "orders/invoices/bill_to.html", context, status=edit.status())


def _edit(pk: int, data: QueryDict | None) -> Edit[Order, BillToForm]:
    return Edit(
        data=data,
        load=lambda: get_object_or_404(Order.objects.select_related("quote"), pk=pk),
        forms=lambda order, data: BillToForm(data, initial=buyer_of(order, content_read(order.quote.content))),
        version_of=bill_to_version,
        page=reverse("order", args=[pk]),
    )
