"""Exports: the list, a new one, and the stored files."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import kitchen
from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.form_data import submitted_data
from orders.documents.responses import download
from orders.records.errors import OrderError
from orders.records.presenters import sentence
from orders.register.filters import not_exported
from orders.register.forms import ExportForm
from orders.register.models import ExportBatch
from orders.register.selectors import exports_listed
from orders.register.services import export_make


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_exports(request: HttpRequest) -> HttpResponse:
    """List the exports, and the documents that are in none yet."""
    page = Paginator(exports_listed(), 50).get_page(request.GET.get("page"))
    return render(request, "orders/register/exports.html", {"page": page, "missing": not_exported()})


@allow(OWNER, BOOKKEEPER)
def money_export_new(request: HttpRequest) -> HttpResponse:
    """Export the documents of a period that are in no export yet."""
    missing = not_exported()
    first = {"first": missing[0].first, "last": missing[0].last, "currency": missing[0].currency} if missing else {}
    form = ExportForm(submitted_data(request), kitchen=kitchen(), initial=first | request.GET.dict())
    if request.method == "POST" and form.is_valid():
        data, by = form.cleaned_data, request.user.get_username()
        period = {"first_day": data["first"], "last_day": data["last"], "currency": data["currency"]}
        try:
            batch = export_make(**period, by=by, at=timezone.now())
        except OrderError as refusal:
            form.add_error(None, sentence(refusal))
        else:
            messages.success(request, f"Export {batch.number} holds {batch.documents} documents.")
            return redirect("money-exports")
    return render(request, "orders/register/export_new.html", {"form": form, "missing": missing})


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_export_file(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Return a stored file of an export."""
    if kind not in ("csv", "xlsx"):
        raise Http404
    batch = get_object_or_404(ExportBatch.objects.select_related(kind), pk=pk)
    return download(getattr(batch, kind))
