"""Credit notes: what to credit, one look at what that makes, and the note."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext

from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data
from orders.invoices.credit_notes import credit_note_issue, credit_outcome
from orders.invoices.forms import CreditForm
from orders.invoices.models import IS_INVOICE, Invoice
from orders.invoices.selectors import creditable, invoices_shown
from orders.quotes.draft.allergy_presenters import fine_shown
from orders.quotes.draft.fine_words import fine_sentences
from orders.records.errors import OrderError
from orders.records.need_errors import TextUnread
from orders.records.presenters import sentence


@allow(OWNER)
def invoice_credit(request: HttpRequest, pk: int) -> HttpResponse:
    """Credit an invoice, whole or in part; nothing is issued before its review was shown."""
    found = get_object_or_404(invoices_shown().filter(IS_INVOICE), pk=pk, issued_at__isnull=False)
    key = request.POST.get("idempotency_key")
    if key and (made := Invoice.objects.filter(credits=found, idempotency_key=key).first()):
        return redirect("invoice", made.pk)
    form = CreditForm(submitted_data(request), invoice=found, rows=creditable(found))
    if request.method == "POST" and form.is_valid() and request.POST.get("do") != "edit":
        try:
            return _next(request, found, form)
        except TextUnread as refusal:
            form.asked = fine_shown(fine_sentences(form.cleaned_data["reason"], found.order.quote))
            form.add_error(refusal.place, sentence(refusal))
        except OrderError as refusal:
            form.add_error(None, sentence(refusal))
    return render(request, "orders/invoices/credit.html", {"invoice": found, "form": form})


def _next(request: HttpRequest, found: Invoice, form: CreditForm) -> HttpResponse:
    """Issue what was reviewed, else show the review."""
    credit, seen, read = form.credit(), form.cleaned_data["seen"], request.POST.getlist("read")
    if request.POST.get("do") == "issue" and seen is not None:
        by, at = request.user.get_username(), timezone.now()
        note = credit_note_issue(invoice_id=found.pk, **credit, read=read, seen_minor=seen, by=by, at=at)
        messages.success(request, gettext("Credit note %(number)s issued.") % {"number": note.number})
        return redirect("invoice", note.pk)
    outcome = credit_outcome(found, credit["amounts"], reason=credit["reason"], read=read)
    context = {"invoice": found, "form": form, "outcome": outcome, "key": credit["idempotency_key"], "read": read}
    return render(request, "orders/invoices/credit_review.html", context)
