"""Invoices and credit notes: draft, issue, show, the PDF."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.roles import buttons
from orders.documents.responses import file_or_wait
from orders.documents.selectors import requested_pdf
from orders.invoices.forms import IssueForm
from orders.invoices.models import Invoice
from orders.invoices.selectors import invoice_page, invoices_shown
from orders.invoices.services import invoice_discard, invoice_draft, invoice_issue
from orders.mail.presenters import invoice_sending_words
from orders.orders.models import Order


@sent_to("order")
@allow(OWNER)
def order_invoice(request: HttpRequest, pk: int) -> HttpResponse:
    """Draft the order's invoice and show it."""
    get_object_or_404(Order, pk=pk)
    draft = invoice_draft(order_id=pk, by=request.user.get_username(), at=timezone.now())
    return redirect("invoice", draft.pk)


@require_safe
@allow(OWNER, BOOKKEEPER)
def invoice(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an invoice or a credit note."""
    found = get_object_or_404(invoices_shown(), pk=pk)
    page = invoice_page(found)
    context = {"invoice": found, "page": page, "issue_form": IssueForm(initial={"mail": True}), **buttons(request)}
    return render(request, "orders/invoices/invoice.html", context)


@sent_to("invoice")
@allow(OWNER)
def invoice_issue_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Issue a draft."""
    get_object_or_404(Invoice, pk=pk)
    mail = IssueForm(request.POST)
    mail.is_valid()
    wanted = bool(mail.cleaned_data.get("mail"))
    issued = invoice_issue(invoice_id=pk, mail=wanted, by=request.user.get_username(), at=timezone.now())
    done = gettext("Invoice %(number)s issued.") % {"number": issued.number}
    messages.success(request, f"{done} {invoice_sending_words()}" if wanted else done)
    return redirect("invoice", pk)


@sent_to("invoice")
@allow(OWNER)
def invoice_discard_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Discard a draft."""
    get_object_or_404(Invoice, pk=pk)
    order = invoice_discard(invoice_id=pk, by=request.user.get_username(), at=timezone.now())
    messages.success(request, gettext("Draft discarded. It had no number."))
    return redirect("order", order.pk)


@require_safe
@allow(OWNER, BOOKKEEPER)
def invoice_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the stored PDF, or a page that waits for it."""
    found = get_object_or_404(Invoice.objects.select_related("pdf"), pk=pk, issued_at__isnull=False)
    file = requested_pdf(found.pdf, kind="invoice_pdf", about=f"invoice:{pk}")
    context = {"what": found.kind_and_number, "back": reverse("invoice", args=[pk]), **buttons(request)}
    return file_or_wait(request, file, context)
