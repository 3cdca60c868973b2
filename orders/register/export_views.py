"""Exports: the list, a new one, and the stored files."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import kitchen
from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.form_data import submitted_data
from orders.documents.models import Document
from orders.documents.responses import streamed
from orders.records.errors import OrderError
from orders.records.presenters import sentence
from orders.register.filters import not_exported
from orders.register.forms import ExportForm
from orders.register.models import ExportBatch
from orders.register.presenters import exports_shown
from orders.register.selectors import export_work, exports_listed
from orders.register.services import export_make


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_exports(request: HttpRequest) -> HttpResponse:
    """List the exports, and the documents that are in none yet."""
    page = Paginator(exports_listed(), 50).get_page(request.GET.get("page"))
    shown = exports_shown(page.object_list, export_work(page.object_list))
    waiting = any(one.waiting for one in shown)
    context = {"page": page, "exports": shown, "waiting": waiting, "missing": not_exported()}
    return render(request, "orders/register/exports.html", context)


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
            made = ngettext(
                "Export %(number)s holds %(count)s document. Its files are being written.",
                "Export %(number)s holds %(count)s documents. Its files are being written.",
                batch.documents,
            )
            messages.success(request, made % {"number": batch.number, "count": batch.documents})
            return redirect("money-exports")
    return render(request, "orders/register/export_new.html", {"form": form, "missing": missing})


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_export_file(request: HttpRequest, pk: int, kind: str) -> StreamingHttpResponse:
    """Return a stored file of an export, piece by piece; 404 while it is not written."""
    if kind not in ("csv", "xlsx"):
        raise Http404
    batch = get_object_or_404(ExportBatch.objects.select_related(kind), pk=pk)
    document: Document | None = getattr(batch, kind)
    if document is None:
        raise Http404
    return streamed(document.pieces(), document.file_name, document.media_type)
