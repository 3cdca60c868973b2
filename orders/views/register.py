"""The register, its files, and what is due."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.access import BOOKKEEPER, OWNER, allow
from catalog.selectors.kitchen import kitchen
from orders.forms.register import RegisterForm
from orders.models import Invoice
from orders.register_files import csv_bytes, xlsx_bytes
from orders.register_rows import Cell, table_of
from orders.selectors.orders import local_day
from orders.selectors.receivables import (
    credits_held,
    currencies_owed,
    deposits_late,
    deposits_waiting,
    not_invoiced,
    open_invoices,
    receivables_by_age,
)
from orders.selectors.register import (
    RegisterTotals,
    drafts_waiting,
    register,
    register_page,
    register_rows,
    register_totals,
)
from orders.selectors.sentences import sentences
from orders.services.exports import CSV_TYPE, XLSX_TYPE
from orders.views.files import attachment
from orders.views.pages import query_without_page
from orders.views.pictures import ages_picture

#: Writing a sheet takes half a second for every thousand documents.
XLSX_MOST = 10_000


class Counted(Paginator):  # type: ignore[type-arg]  # pages of annotated documents
    """Pages of a list whose length the totals have counted already."""

    def __init__(self, documents: Any, size: int, totals: list[RegisterTotals]) -> None:
        super().__init__(documents, size)
        self.counted = sum(sums.invoices + sums.notes for sums in totals)

    @property
    def count(self) -> int:
        """How many documents there are."""
        return self.counted


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register(request: HttpRequest) -> HttpResponse:
    """Show the register: one row a document, the totals below."""
    today, form = local_day(timezone.now()), RegisterForm(request.GET, kitchen=kitchen())
    form.is_valid()
    chosen = form.chosen()
    documents = register(chosen, today=today)
    totals = register_totals(documents)
    page = Counted(register_page(documents), 50, totals).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "chosen": chosen,
        "sentences": sentences(chosen, today=today),
        "page": page,
        "totals": totals,
        "drafts": drafts_waiting()[:20],
        "query": query_without_page(request),
        "today": today,
    }
    return render(request, "orders/money/register.html", context)


def _documents(request: HttpRequest) -> QuerySet[Invoice]:
    form = RegisterForm(request.GET, kitchen=kitchen())
    form.is_valid()
    return register(form.chosen(), today=local_day(timezone.now()))


def _table(documents: QuerySet[Invoice]) -> tuple[list[str], list[list[Cell]], list[Cell]]:
    return table_of(list(register_rows(documents, standing=True)), standing=True)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register_csv(request: HttpRequest) -> HttpResponse:
    """Give what the filter shows as CSV."""
    name = f"register-{local_day(timezone.now()):%Y-%m-%d}.csv"
    return attachment(csv_bytes(*_table(_documents(request))), name, CSV_TYPE)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register_xlsx(request: HttpRequest) -> HttpResponse:
    """Give what the filter shows as XLSX."""
    now, documents = timezone.now(), _documents(request)
    if documents.count() > XLSX_MOST:
        messages.warning(
            request, f"An XLSX holds at most {XLSX_MOST:,} documents. Narrow the sentence, or take the CSV."
        )
        return redirect(f"{reverse('money-register')}?{request.GET.urlencode()}")
    body = xlsx_bytes(*_table(documents), title="Register", at=now)
    return attachment(body, f"register-{local_day(now):%Y-%m-%d}.xlsx", XLSX_TYPE)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_due(request: HttpRequest) -> HttpResponse:
    """Show what is owed: by age, invoice by invoice, deposits, credits."""
    today = local_day(timezone.now())
    ages = [(currency, receivables_by_age(today=today, currency=currency)) for currency in currencies_owed()]
    context = {
        "today": today,
        "ages": [(currency, found, ages_picture(found, currency)) for currency, found in ages],
        "page": Paginator(open_invoices(), 50).get_page(request.GET.get("page")),
        "late": deposits_late(today=today)[:50],
        "waiting": deposits_waiting(today=today)[:50],
        "not_invoiced": not_invoiced()[:50],
        "credits": credits_held()[:50],
    }
    return render(request, "orders/money/due.html", context)
