"""The page of the money that is due."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import local_day
from catalog.web.access import BOOKKEEPER, OWNER, allow
from orders.invoices.charts import ages_picture
from orders.invoices.receivables import (
    credits_held,
    currencies_owed,
    deposits_late,
    deposits_waiting,
    not_invoiced,
    open_invoices,
    receivables_by_age,
)


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
    return render(request, "orders/invoices/due.html", context)
