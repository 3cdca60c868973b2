"""The register of issued documents and its files."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import kitchen, local_day
from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.pages import query_without_page
from orders.documents.responses import attachment
from orders.invoices.models import Invoice
from orders.register.file_content import CSV_TYPE, TITLE, XLSX_TYPE, FileContent, file_content
from orders.register.files import csv_bytes, xlsx_bytes
from orders.register.filters import register
from orders.register.forms import RegisterForm
from orders.register.presenters import filter_sentence, ready_filters, totals_tables
from orders.register.selectors import drafts_waiting, register_page, register_rows
from orders.register.totals import RegisterTotals, register_totals

#: Most documents in a file: writing a worksheet takes half a second per thousand documents.
XLSX_MOST = 10_000


class Counted(Paginator):  # type: ignore[type-arg]  # pages of annotated documents
    """Pages of documents whose number is known from the totals."""

    def __init__(self, documents: Any, size: int, totals: list[RegisterTotals]) -> None:
        super().__init__(documents, size)
        self.counted = sum(sums.invoices + sums.notes for sums in totals)

    @property
    def count(self) -> int:
        """How many documents there are."""
        return self.counted

    def _get_page(self, *args: Any, **kwargs: Any) -> Page[Any]:
        documents, *rest = args
        return super()._get_page(register_page(documents), *rest, **kwargs)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register(request: HttpRequest) -> HttpResponse:
    """Show the register: one row per document, the totals below."""
    today, form = local_day(timezone.now()), RegisterForm(request.GET, kitchen=kitchen())
    form.is_valid()
    chosen = form.chosen()
    documents = register(chosen, today=today)
    totals = register_totals(chosen, today=today)
    page = Counted(documents, 50, totals).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "sentence": filter_sentence(chosen),
        "ready": ready_filters(chosen, today=today),
        "page": page,
        "totals": totals_tables(totals),
        "drafts": drafts_waiting()[:20],
        "query": query_without_page(request),
        "today": today,
    }
    return render(request, "orders/register/register.html", context)


def _documents(request: HttpRequest) -> QuerySet[Invoice]:
    form = RegisterForm(request.GET, kitchen=kitchen())
    form.is_valid()
    return register(form.chosen(), today=local_day(timezone.now()))


def _content(documents: QuerySet[Invoice]) -> FileContent:
    return file_content(list(register_rows(documents, standing=True)), standing=True)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register_csv(request: HttpRequest) -> HttpResponse:
    """Return the filtered documents as CSV."""
    name = f"register-{local_day(timezone.now()):%Y-%m-%d}.csv"
    return attachment(csv_bytes(_content(_documents(request))), name, CSV_TYPE)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register_xlsx(request: HttpRequest) -> HttpResponse:
    """Return the filtered documents as XLSX."""
    now, documents = timezone.now(), _documents(request)
    if documents.count() > XLSX_MOST:
        messages.warning(
            request, f"An XLSX holds at most {XLSX_MOST:,} documents. Narrow the sentence, or take the CSV."
        )
        return redirect(f"{reverse('money-register')}?{request.GET.urlencode()}")
    body = xlsx_bytes(_content(documents), title=TITLE, at=now)
    return attachment(body, f"register-{local_day(now):%Y-%m-%d}.xlsx", XLSX_TYPE)
