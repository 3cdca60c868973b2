"""Payment requests and receipts: issued from the order, shown as PDFs."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.roles import buttons
from orders.documents.responses import file_or_wait
from orders.documents.selectors import requested_pdf
from orders.invoices.models import PaymentPaper
from orders.invoices.paper_mails import ABOUT
from orders.invoices.papers import request_issue
from orders.mail.addresses import can_be_written_to
from orders.mail.presenters import invoice_sending_words
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.presenters import sentence


@sent_to("order")
@allow(OWNER, BOOKKEEPER)
def order_request(request: HttpRequest, pk: int) -> HttpResponse:
    """Request the next payment of the schedule, by mail where there is an address."""
    order = get_object_or_404(Order.objects.select_related("customer"), pk=pk)
    mail = can_be_written_to(order.customer.email)
    try:
        paper = request_issue(order_id=pk, mail=mail, by=request.user.get_username(), at=timezone.now())
    except OrderError as refusal:
        messages.error(request, sentence(refusal))
    else:
        done = gettext("Payment request %(number)s issued.") % {"number": paper.number}
        messages.success(request, f"{done} {invoice_sending_words()}" if mail else done)
    return redirect("order", pk)


@require_safe
@allow(OWNER, BOOKKEEPER)
def paper_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the stored PDF, or a page that waits for it."""
    found = get_object_or_404(PaymentPaper.objects.select_related("pdf"), pk=pk)
    file = requested_pdf(found.pdf, kind="paper_pdf", about=f"{ABOUT}:{pk}")
    context = {"what": found.kind_and_number, "back": reverse("order", args=[found.order_id]), **buttons(request)}
    return file_or_wait(request, file, context)
