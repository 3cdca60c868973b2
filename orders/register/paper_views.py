"""The list of payment requests and receipts by month, and its files."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from catalog.kitchen.selectors import local_day
from catalog.web import display
from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.pages import query_without_page
from catalog.web.roles import has_role
from orders.documents.models import PreparedFile
from orders.documents.responses import prepared_or_wait
from orders.register.file_content import CSV_TYPE
from orders.register.paper_list import PaperMonth, is_reversed, month_asked, paper_sums, papers_of
from orders.register.paper_services import papers_csv, papers_file_ask


def _month(request: HttpRequest) -> PaperMonth:
    return month_asked(request.GET.get("month", ""), today=local_day(timezone.now()))


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_papers(request: HttpRequest) -> HttpResponse:
    """List the payment requests and receipts of a month, with their sums."""
    month = _month(request)
    papers = papers_of(month)
    page = Paginator(papers, 50).get_page(request.GET.get("page"))
    context = {
        "month": month,
        "named": f"{display.month(month.first)} {month.first.year}",
        "page": page,
        "rows": [(paper, is_reversed(paper)) for paper in page.object_list],
        "sums": paper_sums(papers),
        "query": query_without_page(request),
    }
    return render(request, "orders/register/papers.html", context)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_papers_csv(request: HttpRequest) -> HttpResponse:
    """Return the papers of a month as CSV."""
    month = _month(request)
    name = f'attachment; filename="requests-receipts-{month.first:%Y-%m}.csv"'
    return HttpResponse(papers_csv(month), content_type=CSV_TYPE, headers={"Content-Disposition": name})


@require_POST
@allow(OWNER, BOOKKEEPER)
def money_papers_xlsx(request: HttpRequest) -> HttpResponse:
    """Ask for the papers of a month as XLSX; the outbox writes the file."""
    file = papers_file_ask(_month(request), by=request.user.get_username(), at=timezone.now())
    return redirect("money-papers-file", pk=file.pk)


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_papers_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Return the XLSX, or a page that waits for it."""
    file = get_object_or_404(PreparedFile, pk=pk, kind="papers_file")
    facts = {
        "what": gettext("the requests and receipts"),
        "noun": gettext("XLSX file"),
        "back": reverse("money-papers"),
    }
    return prepared_or_wait(request, file, {**facts, "owner": has_role(request, OWNER)})
