"""The register of issued documents and its files."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from catalog.kitchen.selectors import kitchen, local_day
from catalog.web import display
from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.pages import query_without_page
from catalog.web.roles import has_role
from catalog.web.sorting import sorting
from orders.documents.models import PreparedFile
from orders.documents.responses import prepared_or_wait, streamed
from orders.invoices.models import Invoice
from orders.register.csv_file import csv_pieces
from orders.register.file_content import CSV_TYPE
from orders.register.files import XLSX_MOST
from orders.register.filters import RegisterFilter, register
from orders.register.forms import RegisterForm
from orders.register.presenters import REGISTER_SORTS, filter_sentence, ready_filters, totals_tables
from orders.register.selectors import drafts_waiting, register_page
from orders.register.services import register_file_ask
from orders.register.totals import RegisterTotals, register_totals


class Counted(Paginator):  # type: ignore[type-arg]  # pages of annotated documents
    """Pages of documents whose number is known from the totals."""

    def __init__(
        self, documents: QuerySet[Invoice], size: int, totals: list[RegisterTotals], *, oldest: bool = False
    ) -> None:
        super().__init__(documents, size)
        self.documents, self.oldest = documents.reverse() if oldest else documents, oldest
        self.counted = sum(sums.invoices + sums.notes for sums in totals)

    @property
    def count(self) -> int:
        """How many documents there are."""
        return self.counted

    def page(self, number: int | str) -> Page[Any]:
        """Return a page of documents with the columns of the register; one near the end is counted from the end."""
        number = self.validate_number(number)
        begin = (number - 1) * self.per_page
        end = min(begin + self.per_page, self.count)
        near = self.documents.all()[begin:end]
        if begin > self.count // 2:
            near = self.documents.reverse()[self.count - end : self.count - begin]
        return Page(list(register_page(near, oldest=self.oldest)), number, self)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register(request: HttpRequest) -> HttpResponse:
    """Show the register: one row per document, the totals below."""
    today, form = local_day(timezone.now()), RegisterForm(request.GET, kitchen=kitchen())
    form.is_valid()
    chosen = form.chosen()
    documents = register(chosen, today=today)
    totals = register_totals(chosen, today=today)
    order = sorting(request, REGISTER_SORTS)
    page = Counted(documents, 50, totals, oldest=order["sort"] == "oldest").get_page(request.GET.get("page"))
    context = {
        "form": form,
        "sentence": filter_sentence(chosen),
        "ready": ready_filters(chosen, today=today),
        "page": page,
        "totals": totals_tables(totals),
        "drafts": drafts_waiting()[:20],
        "query": query_without_page(request),
        "today": today,
        **order,
    }
    return render(request, "orders/register/register.html", context)


def _chosen(request: HttpRequest) -> RegisterFilter:
    form = RegisterForm(request.GET, kitchen=kitchen())
    form.is_valid()
    return form.chosen()


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register_csv(request: HttpRequest) -> StreamingHttpResponse:
    """Return the filtered documents as CSV, while they are read."""
    today, chosen = local_day(timezone.now()), _chosen(request)
    rates = sorted({(tax.name, tax.rate) for sums in register_totals(chosen, today=today) for tax in sums.taxes})
    pieces = csv_pieces(register(chosen, today=today), rates, standing=True)
    return streamed(pieces, f"register-{today:%Y-%m-%d}.csv", CSV_TYPE)


@require_POST
@allow(OWNER, BOOKKEEPER)
def money_register_xlsx(request: HttpRequest) -> HttpResponse:
    """Ask for the filtered documents as XLSX; the outbox writes the file."""
    now, by = timezone.now(), request.user.get_username()
    chosen, today = _chosen(request), local_day(now)
    if register(chosen, today=today).count() > XLSX_MOST:
        narrow = gettext("An XLSX file holds at most %(most)s documents. Narrow the filter, or use the CSV file.")
        messages.warning(request, narrow % {"most": display.plain(XLSX_MOST)})
        return redirect(f"{reverse('money-register')}?{request.GET.urlencode()}")
    file = register_file_ask(chosen=chosen, today=today, by=by, at=now)
    return redirect("money-register-file", pk=file.pk)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_register_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Return the register's XLSX, or a page that waits for it."""
    file = get_object_or_404(PreparedFile, pk=pk, kind="register_file")
    facts = {"what": gettext("the register"), "noun": gettext("XLSX file"), "back": reverse("money-register")}
    return prepared_or_wait(request, file, {**facts, "owner": has_role(request, OWNER)})
