"""The page of the money that is due."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import local_day
from catalog.web.access import BOOKKEEPER, OWNER, allow
from orders.invoices.presenters import age_table
from orders.invoices.receivables import (
    charges_waiting,
    credits_held,
    currencies_owed,
    not_invoiced,
    open_invoices,
    receivables_by_age,
)
from orders.invoices.schedule import scheduled_late, scheduled_waiting

#: Rows of a list on the page.
SHOWN = 50


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_due(request: HttpRequest) -> HttpResponse:
    """Show what is owed: by age, invoice by invoice, payments before the event, credits."""
    today = local_day(timezone.now())
    ages = [(currency, receivables_by_age(today=today, currency=currency)) for currency in currencies_owed()]
    context = {
        "today": today,
        "ages": [age_table(currency, found) for currency, found in ages],
        "page": Paginator(open_invoices(), SHOWN).get_page(request.GET.get("page")),
        "late": scheduled_late(today=today)[:SHOWN],
        "waiting": scheduled_waiting(today=today)[:SHOWN],
        "not_invoiced": not_invoiced()[:SHOWN],
        "charges": charges_waiting()[:SHOWN],
        "credits": credits_held()[:SHOWN],
    }
    return render(request, "orders/invoices/due.html", context)
